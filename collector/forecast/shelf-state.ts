import type { Provenance } from '../../shared/forecasts.ts';
import { robustSd } from '../../shared/stats/robust.ts';
import { stepHours, stepsPerDay, stepsPerHour } from './grid.ts';

/** Temperature that an unmeasured shelf is thought to have, and how unsure that is. Assumed. */
export const unknownC = 22;
export const unknownSdK = 3;
/** What a fresh sensor on the shelf leaves open: its calibration, and place to place on the shelf. Assumed. */
const measuredSdK = 0.3;
/** A room's sensor without any learned offset to the shelf. Assumed. */
const unlearnedOffsetSdK = 1.2;
/** Hours in which a deviation from the day's usual course fades to 1/e. Assumed. */
const persistenceH = 18;
/** Steps over which a reading stands for the air when none follows. */
const freshSteps = 3;
/** Days of memory of the day profile, and of the spread between days. */
const profileDays = 10;
const differencesKept = 72;

/** All that is known of a shelf's air up to a step; causal, so any stretch can be run again from a copy. */
export interface ShelfState {
  ownC: number;
  ownAge: number;
  roomC: number;
  roomAge: number;
  /** Hourly differences shelf minus room, a ring. */
  differences: number[];
  differenceAt: number;
  offsetC: number;
  offsetSdK: number;
  /** Usual temperature by hour of the (UTC) day, NaN while never seen. */
  profile: Float64Array;
  profileCount: Float64Array;
  /** Present deviation from the profile [K], and steps since anything was measured. */
  deviationC: number;
  gap: number;
  /** Variance between a day's level and what was usual before it [K²], with the days it rests on. */
  levelVariance: number;
  levelDays: number;
  daySum: number;
  dayCount: number;
}

export const newShelfState = (): ShelfState => ({
  ownC: Number.NaN,
  ownAge: freshSteps + 1,
  roomC: Number.NaN,
  roomAge: freshSteps + 1,
  differences: [],
  differenceAt: 0,
  offsetC: 0,
  offsetSdK: unlearnedOffsetSdK,
  profile: new Float64Array(24).fill(Number.NaN),
  profileCount: new Float64Array(24),
  deviationC: 0,
  gap: Number.POSITIVE_INFINITY,
  levelVariance: 1,
  levelDays: 3,
  daySum: 0,
  dayCount: 0,
});

export const copyShelfState = (state: ShelfState): ShelfState => ({
  ...state,
  differences: state.differences.slice(),
  profile: state.profile.slice(),
  profileCount: state.profileCount.slice(),
});

const hourOf = (step: number): number => Math.floor(step / stepsPerHour) % 24;

/** Usual temperature at a step; an hour never seen takes the mean of those that were; NaN when none was. */
export function usualC(state: ShelfState, step: number): number {
  const usual = state.profile[hourOf(step)]!;
  if (!Number.isNaN(usual)) return usual;
  let sum = 0;
  let seen = 0;
  for (const value of state.profile)
    if (!Number.isNaN(value)) {
      sum += value;
      seen++;
    }
  return sum / seen;
}

function learnOffset(state: ShelfState): void {
  const difference = state.ownC - state.roomC;
  if (state.differences.length < differencesKept) state.differences.push(difference);
  else state.differences[state.differenceAt % differencesKept] = difference;
  state.differenceAt++;
  const sorted = Float64Array.from(state.differences).sort();
  state.offsetC = sorted[sorted.length >> 1]!;
  if (sorted.length >= 6) state.offsetSdK = Math.max(0.2, robustSd(sorted));
}

function learnProfile(state: ShelfState, step: number, tempC: number): void {
  const hour = hourOf(step);
  const count = Math.min(state.profileCount[hour]! + 1, profileDays * stepsPerHour);
  const before = count === 1 ? tempC : state.profile[hour]!;
  state.profile[hour] = before + (tempC - before) / count;
  state.profileCount[hour] = count;
  const usual = usualC(state, step);
  state.deviationC =
    state.gap <= freshSteps
      ? state.deviationC + (tempC - usual - state.deviationC) * (stepHours / 2)
      : tempC - usual;

  state.daySum += tempC - before;
  state.dayCount++;
  if (step % stepsPerDay === stepsPerDay - 1) {
    const level = state.daySum / state.dayCount;
    if (state.dayCount >= stepsPerDay / 4) {
      state.levelDays = Math.min(state.levelDays + 1, profileDays + 3);
      state.levelVariance += (level * level - state.levelVariance) / state.levelDays;
    }
    state.daySum = 0;
    state.dayCount = 0;
  }
}

/** A shelf's air during one step. */
export interface ShelfAir {
  tempC: number;
  sdK: number;
  source: Provenance;
}

/**
 * Takes in one step and says what the air was. Its own sensors while fresh; else the room's plus the learned
 * offset; else the usual day with the last deviation fading, less sure by the hour.
 * @param ownC mean of the shelf's own sensors in this step, NaN without a reading
 * @param roomC the same of the rest of the room
 */
export function stepShelf(state: ShelfState, step: number, ownC: number, roomC: number): ShelfAir {
  const ownNow = !Number.isNaN(ownC);
  const roomNow = !Number.isNaN(roomC);
  state.ownAge = ownNow ? 0 : state.ownAge + 1;
  state.roomAge = roomNow ? 0 : state.roomAge + 1;
  if (ownNow) state.ownC = ownC;
  if (roomNow) state.roomC = roomC;
  if (ownNow && roomNow && step % stepsPerHour === 0) learnOffset(state);

  if (state.ownAge < freshSteps) {
    if (ownNow) learnProfile(state, step, ownC);
    state.gap = state.ownAge;
    return { tempC: state.ownC, sdK: measuredSdK, source: 'measured' };
  }
  if (state.roomAge < freshSteps) {
    const tempC = state.roomC + state.offsetC;
    if (roomNow) learnProfile(state, step, tempC);
    state.gap = state.roomAge;
    return { tempC, sdK: Math.hypot(measuredSdK, state.offsetSdK), source: 'neighbour' };
  }
  state.gap++;
  return { ...aheadOf(state, step, state.gap * stepHours), source: 'filled' };
}

/** Air to expect at a step some hours after the last that was measured: usual day plus fading deviation. */
export function aheadOf(state: ShelfState, step: number, hours: number): { tempC: number; sdK: number } {
  const usual = usualC(state, step);
  if (Number.isNaN(usual)) return { tempC: unknownC, sdK: unknownSdK };
  const kept = Math.exp(-hours / persistenceH);
  return {
    tempC: usual + state.deviationC * kept,
    sdK: Math.hypot(0.5, Math.sqrt(state.levelVariance) * (1 - kept)),
  };
}
