import type { Course } from './outlook.ts';
import type { RoomLimit } from './plan-input.ts';
import { type Exposed, exposeCohort, highestOf, type Standing } from './standing.ts';

/** What one case makes of an unload. */
export interface Verdict {
  cohorts: Exposed[];
  peakC: number;
  /** Limits to keep that the air passes. */
  passed: RoomLimit[];
  /** A cohort gets more than it stands, or a limit to keep is passed. */
  fails: boolean;
  /** Grows with how bad it is; 1 is about where it fails. */
  score: number;
}

/** Beyond a limit to keep, this many kelvins count as e times as bad. */
const limitScaleK = 2;

export function verdictOf(standing: Standing, limits: readonly RoomLimit[], course: Course): Verdict {
  const cohorts = standing.cohorts.map((_, index) => exposeCohort(standing, index, course.exposure));
  const peakC = highestOf(course.airC);
  const kept = limits.filter(({ keep }) => keep === true);
  const passed = kept.filter(({ limitC }) => peakC > limitC);
  const shares = cohorts.map(({ share, addedHours }) => (addedHours > 0 ? share : 0));
  const beyond = kept.map(({ limitC }) => Math.exp((peakC - limitC) / limitScaleK));
  return {
    cohorts,
    peakC,
    passed,
    fails: passed.length > 0 || cohorts.some(({ over }) => over),
    score: Math.max(0, ...shares, ...beyond) + 1e-4 * peakC,
  };
}

/** The same question answered as soon as something fails; `order` has the most exposed cohorts first. */
export function failsIn(
  standing: Standing,
  limits: readonly RoomLimit[],
  course: Course,
  order: readonly number[],
): boolean {
  const peakC = highestOf(course.airC);
  if (limits.some(({ keep, limitC }) => keep === true && peakC > limitC)) return true;
  return order.some((index) => exposeCohort(standing, index, course.exposure).over);
}
