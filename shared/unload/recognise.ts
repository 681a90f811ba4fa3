import { followStructure, ownGains, roomRun, settledRoom } from '../room/model.ts';
import { isWorkingHour, meanRoom, type RoomFit, usualOutsideC } from '../room/room-fit.ts';
import { type EpochMs, minuteMs } from '../time.ts';
import type { RecentAir } from './plan-input.ts';

export interface RecogniseQuestion {
  /** The last six hours or so, in steps of one to five minutes; gaps are NaN. Finer steps tell more. */
  air: RecentAir;
  /** Leave out for a room of which nothing was learned: then a steady room's failed cooler may be asked about. */
  fit?: RoomFit | undefined;
  localHour: (t: EpochMs) => number;
  now: EpochMs;
}

export interface Recognised {
  /** When the load seems to have come in. */
  at: EpochMs;
  /** In a sentence: what speaks for it. */
  why: string;
}

// Margins were chosen on 54 simulated unloads, 48 cooler failures and 32 ordinary weeks, and checked on others
// (`npm run bench -- recognise`).
/** How fast a rise is: over this long. */
const jumpMin = 5;
/** A rise this much faster than any of the hours before is none of the room's own: factor and margin [K]. */
const faster = 1.08;
const fasterK = 0.1;
/** How far the air must leave all that it was in the hours before [K]. */
const pastUsualK = 0.6;
/** A slower rise that far past, most of it within `mostlyMin`, was a load when it turns while nothing was mended. */
const slowPastUsualK = 0.9;
const mostlyMin = 30;
const mostly = 0.6;
const turnsK = 0.5;
const turnsPart = 0.25;
const turnsWithinMin = 150;
/** What is usual is told by so long before, and needs at least so much [min]. */
const usualMin = 300;
const leastUsualMin = 120;
const settleMin = 20;
/** A rise longer ago is no longer asked about. */
const askedForMin = 180;
/** Further past what was usual than this, a rise need only beat the room's own heat, without a margin [K]. */
const farPastK = 1.5;
/** Past what the room does with its cooler off, by this much [K] and this part of that rise. */
const pastIdleK = 0.4;
const pastIdlePart = 0.25;

/** Air with gaps carried over and single odd readings taken out; NaN before the first. */
function smooth({ airC }: RecentAir): Float64Array {
  let last = Number.NaN;
  const carried = airC.map((tempC) => {
    if (Number.isFinite(tempC)) last = tempC;
    return last;
  });
  return carried.map((tempC, index) => {
    const [a, b] = [carried[index - 1] ?? tempC, carried[index + 1] ?? tempC];
    return Math.max(Math.min(a, b), Math.min(Math.max(a, b), tempC));
  });
}

function extreme(values: Float64Array, from: number, until: number, sign: 1 | -1): number {
  let best = -Infinity;
  for (let index = Math.max(0, from); index < until; index++) best = Math.max(best, sign * values[index]!);
  return sign * best;
}

/** Air after a while with the cooler off, from where the room stood [°C]. */
function coolerOffC(
  { fit, localHour, air }: RecogniseQuestion & { fit: RoomFit },
  tempC: Float64Array,
  start: number,
  minutes: number,
): number {
  const room = meanRoom(fit);
  const time = (index: number): EpochMs => air.firstT + index * air.stepMs;
  const outsideAt = (index: number): number => {
    const measured = air.outsideC[index];
    return measured !== undefined && Number.isFinite(measured)
      ? measured
      : usualOutsideC(fit, localHour(time(index)));
  };
  const first = Math.max(0, tempC.findIndex(Number.isFinite));
  let { structureC } = settledRoom(room, tempC[first]!, outsideAt(first));
  for (let index = first; index < start; index++)
    structureC = followStructure(
      room,
      structureC,
      { airC: tempC[index]!, outsideC: outsideAt(index) },
      air.stepMs / 1000,
    );
  const run = roomRun(room, { airC: tempC[start]!, structureC }, 60);
  const own = ownGains(room, isWorkingHour(localHour(time(start))));
  for (let minute = 0; minute < minutes; minute++) run.step(outsideAt(start), own.airW, own.wallW, 0);
  return run.airC;
}

/** Whether the room's own heat explains a rise, with its cooler off from the start of it on. */
function ownDoing(
  question: RecogniseQuestion,
  tempC: Float64Array,
  start: number,
  end: number,
  marginShare: number,
): boolean {
  const { fit, air } = question;
  if (fit === undefined || fit.trainedDays === 0) return false;
  const minutes = Math.max(1, Math.round(((end - start) * air.stepMs) / minuteMs));
  const aloneC = coolerOffC({ ...question, fit }, tempC, start, minutes);
  const margin = pastIdleK + pastIdlePart * Math.max(0, aloneC - tempC[start]!);
  return tempC[end]! < aloneC + marginShare * margin;
}

const clock = (hour: number): string => {
  const minutes = Math.round(hour * 60) % (24 * 60);
  return `${String(Math.floor(minutes / 60)).padStart(2, '0')}:${String(minutes % 60).padStart(2, '0')}`;
};

/**
 * Whether the room's air looks like a hot load that nobody declared: a rise faster than any of the hours before
 * that takes the air past all it had been. A failed cooler lets the room rise no faster than it does in every
 * pause of its cooler, and then further and further; a load starts fast and turns. An open door falls back. Ask
 * every few minutes: the answer stays, with the same `at`, for hours. Null while nothing speaks for it.
 */
export function recogniseUnload(question: RecogniseQuestion): Recognised | null {
  const { air, now, localHour } = question;
  const tempC = smooth(air);
  const span = (minutes: number): number => Math.max(1, Math.round((minutes * minuteMs) / air.stepMs));
  const end = Math.min(tempC.length, Math.floor((now - air.firstT) / air.stepMs) + 1);
  const first = tempC.findIndex(Number.isFinite);
  if (first < 0) return null;
  const jumps = tempC.map((value, index) => value - extreme(tempC, index - span(jumpMin), index, -1));

  const oldest = Math.max(first + span(leastUsualMin + settleMin), end - span(askedForMin));
  for (let index = oldest; index < end; index++) {
    const until = index - span(settleMin);
    const from = Math.max(first, until - span(usualMin));
    const usualTopC = extreme(tempC, from, until, 1);
    const past = tempC[index]! - usualTopC;
    if (past < pastUsualK) continue;
    const usualJumpK = extreme(jumps, from + span(jumpMin), until, 1);
    const steepest = steepestOf(jumps, until, index);
    const jumpK = jumps[steepest]!;
    const start = lowestOf(tempC, steepest - span(jumpMin), steepest);
    const said = (what: string): Recognised => {
      const at = air.firstT + start * air.stepMs;
      return { at, why: `It looks like a hot load at ${clock(localHour(at))}: ${what}.` };
    };
    if (
      jumpK >= faster * usualJumpK + fasterK &&
      !ownDoing(question, tempC, start, steepest, past >= farPastK ? 0 : 1)
    )
      return said(
        `the air rose ${jumpK.toFixed(1)} K within ${jumpMin} min, faster than in the hours before (${usualJumpK.toFixed(1)} K), and ${past.toFixed(1)} K past where it had been`,
      );
    if (past < slowPastUsualK) continue;
    const peak = highestAt(tempC, index, Math.min(end, index + span(turnsWithinMin)));
    const riseK = tempC[peak]! - tempC[start]!;
    const soonC = extreme(tempC, start, Math.min(end, start + span(mostlyMin)), 1);
    const fellK = tempC[peak]! - extreme(tempC, peak, Math.min(end, peak + span(turnsWithinMin)), -1);
    if (soonC - tempC[start]! > mostly * riseK && fellK >= Math.max(turnsK, turnsPart * riseK))
      return said(
        `the air rose ${riseK.toFixed(1)} K at once, ${past.toFixed(1)} K past where it had been, and has turned since, which it would not with a failed cooler`,
      );
  }
  return null;
}

function bestOf(values: Float64Array, from: number, until: number, sign: 1 | -1): number {
  let best = Math.max(0, from);
  for (let index = best; index < until; index++)
    if (sign * values[index]! > sign * values[best]!) best = index;
  return best;
}
const steepestOf = (jumps: Float64Array, from: number, last: number): number =>
  bestOf(jumps, from, last + 1, 1);
const lowestOf = (tempC: Float64Array, from: number, until: number): number => bestOf(tempC, from, until, -1);
const highestAt = (tempC: Float64Array, from: number, until: number): number => bestOf(tempC, from, until, 1);
