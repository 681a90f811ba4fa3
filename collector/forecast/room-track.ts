import {
  type AirForecast,
  type DayProfile,
  forecastAir,
  learnHour,
  newDayProfile,
} from '../../shared/air/day-profile.ts';
import type { Limits } from '../../shared/farm/schema.ts';
import type { EpochMs } from '../../shared/time.ts';
import { stepsPerHour, timeOf } from './grid.ts';
import { createHourly } from './hourly.ts';
import { createJointSeries, createStandIn } from './joint-series.ts';
import { firstOf, meanOf, type StepSeries } from './step-series.ts';

/** Temperature of a room that nobody measures, and how unsure that is [°C, K]. Assumed. */
const unknownAir = { meanC: 22, sdC: 3 };
/** Readings may be this old [steps] and still stand for the air. */
export const freshSteps = 3;

/** The site's day runs by UTC here: a usual day is the same day whichever hour it is counted from. */
export const utc = (): number => 0;

export const nothingLearned: DayProfile = newDayProfile(unknownAir);

/** A room is seldom kept closer than this to the middle of its limits [K, 1 sd]. Assumed. */
const leastBandSdK = 1;

/**
 * What is thought of a room's air before anything is measured: people set limits about the air that they keep, and
 * it lies between them nearly always (2 sd either way, assumed).
 */
export function unmeasured(limits: Limits): DayProfile {
  const { low, high } = limits.temperature ?? {};
  if (low === undefined || high === undefined) return nothingLearned;
  return newDayProfile({ meanC: (low + high) / 2, sdC: Math.max(leastBandSdK, (high - low) / 4) });
}

/** How far a room's model says that its air lies from its usual day, in an hour since the epoch and at an instant [K]. */
interface DeparturesTold {
  atHour(hour: number): number;
  at(t: EpochMs): number;
  /** How unsure that is, as known at another instant [K, 1 sd]. */
  sdAt(t: EpochMs, knownAt: EpochMs): number;
}

/** What a room's sensors say together, and the usual day that was learned from it up to any step. */
export interface RoomTrack {
  /** Air by the room's sensors together in a step; NaN without a reading. */
  mean(step: number): number;
  /** Mean that was estimated by hand for a step; NaN without one. */
  estimated(step: number): number;
  /** Usual day before anything is measured. */
  unmeasured: DayProfile;
  /** Usual day as learned from all whole hours before a step, of what the room's model leaves unexplained. */
  profile(step: number): DayProfile;
  /** Air to expect at an instant, as known before a step. */
  expected(step: number, t: EpochMs): AirForecast;
  /** Hour since the epoch that the usual day has not learned yet; NaN before any. */
  learnedTo(): number;
  /** Something before or in this step is known otherwise now. */
  reopen(step: number): void;
  dropBefore(step: number): void;
}

/**
 * @param atLarge sensors that hang in the room itself
 * @param onShelves sensors on its shelves, which stand in for the room while no other speaks
 * @param byHand what was estimated by hand of the room itself, and of its shelves; teaches the usual day of hours
 * that no sensor tells
 * @param first what is thought before anything is measured
 * @param explained what the room's model says of its departures
 */
export function createRoomTrack(
  atLarge: readonly StepSeries[],
  onShelves: readonly StepSeries[],
  byHand: { atLarge: readonly StepSeries[]; onShelves: readonly StepSeries[] },
  first: DayProfile,
  explained: DeparturesTold,
): RoomTrack {
  const measured = [...atLarge, ...onShelves];
  const air = createStandIn(createJointSeries(atLarge), createJointSeries(onShelves), () =>
    firstOf(measured),
  );

  const estimated = (step: number): number => meanOf(byHand.atLarge, step);

  const roughMean = (step: number): number => {
    const told = air.mean(step);
    if (!Number.isNaN(told)) return told;
    const written = estimated(step);
    return Number.isNaN(written) ? meanOf(byHand.onShelves, step) : written;
  };

  const hourMean = (hour: number): number => {
    let sum = 0;
    let count = 0;
    for (let step = hour * stepsPerHour; step < (hour + 1) * stepsPerHour; step++) {
      const value = roughMean(step);
      if (Number.isNaN(value)) continue;
      sum += value;
      count++;
    }
    return sum / count;
  };

  /** Usual day as known at the start of each hour. */
  const profiles = createHourly(
    first,
    () => Math.floor(firstOf([...measured, ...byHand.atLarge, ...byHand.onShelves]) / stepsPerHour),
    (before: DayProfile, hour) => {
      const tempC = hourMean(hour);
      if (Number.isNaN(tempC)) return before;
      const t = timeOf(hour * stepsPerHour);
      return learnHour(before, { t, tempC: tempC - explained.atHour(hour) }, utc);
    },
  );
  const profile = (step: number): DayProfile => profiles.at(Math.floor(step / stepsPerHour));

  return {
    mean: air.mean,
    unmeasured: first,
    estimated,
    profile,
    expected(step, t) {
      const { meanC, sdC } = forecastAir(profile(step), t, utc);
      return { meanC: meanC + explained.at(t), sdC: Math.hypot(sdC, explained.sdAt(t, timeOf(step))) };
    },
    learnedTo: profiles.learnedTo,
    reopen(step) {
      air.reopen(step);
      profiles.reopen(Math.floor(step / stepsPerHour));
    },
    dropBefore(step) {
      air.dropBefore(step);
      profiles.dropBefore(Math.floor(step / stepsPerHour));
    },
  };
}
