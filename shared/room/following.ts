import { drivenSubstepS, readPart } from './driven.ts';
import { binMs } from './history.ts';
import { roomRun } from './model.ts';
import { lastingKeeps, lastingVariances, type Noise } from './noise.ts';
import type { RoomParams } from './params.ts';
import { weatherLastsMs } from './room-fit.ts';

/** What nobody tells of a room whose cooler is known. */
export interface Unseen {
  /** Heat to air and to walls for each kelvin that it is warmer about the room than anybody tells [W/K]. */
  perK: { airW: number; wallW: number };
  /** How much that usually is [K, 1 sd]. */
  sdK: number;
  /** 1 for each bin in which it is not known what was done to the air: it is then taken as it was measured. */
  asMeasured: Uint8Array;
}

/** What moves as a room is followed: its air, what is read of it, its walls, what is unseen, and errors that last. */
const states = 5;
const unseenState = 3;
const lastingState = 4;

/**
 * How a room is held to its measured air while it is run over its past. A cooler that is told does not answer for
 * heat of which nobody tells, as a thermostat would, so that is found along the way: by how much the air of each bin
 * surprises is shared out among all that could have made it so, as a Kalman filter does (Kalman 1960, J. Basic Eng.
 * 82:35-45). The shares are worked out before a search, for the room that it starts from: if they moved with the
 * rooms that it tries, it could make errors small by trusting nothing.
 */
export interface Following {
  unseen: Unseen;
  /** Changes of the five states for each kelvin of surprise, one bin after another. */
  shares: Float64Array;
  /** How far the air of each bin is expected to lie off [K, 1 sd]. */
  sdsK: Float64Array;
}

/** What is left of unseen heat a bin later. */
const unseenKeeps = Math.exp(-binMs / weatherLastsMs);

/** How well a room is known as it is first looked at, and its air where it is taken as measured [K, 1 sd]. Assumed. */
const firstSdK = { air: 0.5, structure: 1 } as const;
const measuredSdK = 0.1;
/**
 * Two nodes that are stepped by the minute do not tell a quarter of an hour any better than this [K, 1 sd]; thousands
 * of swings would bend all else to have them so. Set on simulated rooms: 0.15 to 0.3 do alike.
 */
const leastSwingSdK = 0.2;

const at = (row: number, column: number): number => row * states + column;

/** How a bin carries each state to all, row after row, and what each adds to the bin's mean reading. */
function answersTo(params: RoomParams, readMin: number, { perK }: Unseen) {
  const resting = {
    ...params,
    coolAboveC: Number.POSITIVE_INFINITY,
    heatBelowC: Number.NEGATIVE_INFINITY,
  };
  const steps = binMs / 1000 / drivenSubstepS;
  const toRead = readPart({ readMin });
  const carry = new Float64Array(states * states);
  const read = new Float64Array(states);
  for (let state = 0; state < lastingState; state++) {
    // Left alone in air of 0 °C a room answers in straight proportion to how it begins.
    const begins = Array.from({ length: states }, (_, k) => Number(k === state));
    const run = roomRun(resting, { airC: begins[0]!, structureC: begins[2]!, used: 0 }, drivenSubstepS);
    const unseenK = begins[unseenState]!;
    let readC = begins[1]!;
    for (let step = 0; step < steps; step++) {
      run.step(0, unseenK * perK.airW, unseenK * perK.wallW, 1, 0);
      const beforeC = readC;
      readC += toRead * (run.airC - readC);
      read[state]! += (beforeC + readC) / 2 / steps;
    }
    [run.airC, readC, run.structureC, unseenK * unseenKeeps].forEach((ends, row) => {
      carry[at(row, state)] = ends;
    });
  }
  carry[at(lastingState, lastingState)] = lastingKeeps;
  read[lastingState] = 1;
  return { carry, read };
}

/** @param awayK how far the measured air of each bin is from its usual; NaN where none was measured */
export function followingOf(
  params: RoomParams,
  readMin: number,
  { unseen, noise, awayK }: { unseen: Unseen; noise: Noise; awayK: Float64Array },
): Following {
  const { carry, read } = answersTo(params, readMin, unseen);
  const lasting = lastingVariances(noise, awayK);
  const swingVar = Math.max(leastSwingSdK, noise.swingSdK) ** 2;
  const shares = new Float64Array(awayK.length * states);
  const sdsK = new Float64Array(awayK.length);
  const spread = new Float64Array(states * states);
  const first = [firstSdK.air, firstSdK.air, firstSdK.structure, unseen.sdK, Math.sqrt(lasting[0]!)];
  first.forEach((sd, k) => {
    spread[at(k, k)] = sd ** 2;
  });
  const withRead = new Float64Array(states);
  const moved = new Float64Array(states);
  const half = new Float64Array(states * states);
  for (let bin = 0; bin < awayK.length; bin++) {
    let variance = swingVar;
    for (let row = 0; row < states; row++) {
      withRead[row] = 0;
      for (let k = 0; k < states; k++) withRead[row]! += spread[at(row, k)]! * read[k]!;
      variance += read[row]! * withRead[row]!;
    }
    sdsK[bin] = Math.sqrt(variance);
    const learns = unseen.asMeasured[bin] === 0 && Number.isFinite(awayK[bin]!);
    for (let row = 0; row < states; row++) {
      moved[row] = 0;
      for (let k = 0; k < states; k++) moved[row]! += carry[at(row, k)]! * withRead[k]!;
      if (learns) shares[bin * states + row] = moved[row]! / variance;
      for (let column = 0; column < states; column++) {
        let sum = 0;
        for (let k = 0; k < states; k++) sum += carry[at(row, k)]! * spread[at(k, column)]!;
        half[at(row, column)] = sum;
      }
    }
    for (let row = 0; row < states; row++)
      for (let column = 0; column < states; column++) {
        let sum = learns ? -(moved[row]! * moved[column]!) / variance : 0;
        for (let k = 0; k < states; k++) sum += half[at(row, k)]! * carry[at(column, k)]!;
        // Air and reading that were measured are known by themselves.
        if (unseen.asMeasured[bin] === 1 && Math.min(row, column) < 2)
          sum = row === column ? measuredSdK ** 2 : 0;
        spread[at(row, column)] = sum;
      }
    spread[at(unseenState, unseenState)]! += unseen.sdK ** 2 * (1 - unseenKeeps ** 2);
    spread[at(lastingState, lastingState)]! += (lasting[bin + 1] ?? lasting[bin]!) * (1 - lastingKeeps ** 2);
  }
  return { unseen, shares, sdsK };
}

/** Holds one room to its air, bin after bin. */
export function createFollower({ unseen, shares, sdsK }: Following) {
  let unseenK = 0;
  let lastingK = 0;
  const surprises = new Float64Array(sdsK.length);
  return {
    /** By how much each bin surprised, in its standard deviations; 0 where nothing was learned of it. */
    surprises,
    /** Heat that is unseen in the bin which runs [W]. */
    airW: () => unseenK * unseen.perK.airW,
    wallW: () => unseenK * unseen.perK.wallW,
    /** A bin is over whose measured air lay `missK` off the room's, NaN where none was: moves the room and its reading. */
    learn(bin: number, missK: number, room: { airC: number; readC: number; structureC: number }): void {
      const surpriseK = missK - lastingK;
      unseenK *= unseenKeeps;
      lastingK *= lastingKeeps;
      if (unseen.asMeasured[bin] === 1 || !Number.isFinite(surpriseK)) return;
      const first = bin * states;
      room.airC += shares[first]! * surpriseK;
      room.readC += shares[first + 1]! * surpriseK;
      room.structureC += shares[first + 2]! * surpriseK;
      unseenK += shares[first + unseenState]! * surpriseK;
      lastingK += shares[first + lastingState]! * surpriseK;
      surprises[bin] = surpriseK / sdsK[bin]!;
    },
  };
}
