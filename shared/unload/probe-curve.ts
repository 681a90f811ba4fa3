import { type EpochMs, minuteMs } from '../time.ts';

/** One reading of a probe that stays where it is, and where it stands among all readings. */
export interface Heard {
  t: EpochMs;
  tempC: number;
  index: number;
  /** It counted, it was one of a curve that stands still, or it was doubted for another reason. */
  was: 'kept' | 'still' | 'doubted';
}

/** By how much the slowest and the fastest guess of a load fall between two readings [K]. */
export type FallBetween = (from: number, to: number) => { leastK: number; mostK: number };

/** Placement and the sensor's own error in a difference of two readings [K]. Assumed. */
const marginK = 3;
/** Longer apart than this, a fall is no sudden one. */
const suddenMs = 30 * minuteMs;
/** A probe that is pushed in again warms by at least this from one reading to the next [K]. Assumed. */
const backK = 4;
/** Over so long a probe must have followed a load that falls by at least so much [K]. Assumed. */
const followMs = 90 * minuteMs;
const tellingK = 6;

const degrees = (tempC: number): string => `${tempC.toFixed(0)} °C`;
const minutes = (ms: number): string => `${Math.round(ms / minuteMs)} min`;

/** What the curve of a probe says of its newest reading; `since`: earlier ones from there on are doubted too. */
export type CurveDoubt = { why: string; is: 'out' } | { why: string; is: 'still'; since: EpochMs } | null;

/**
 * Judges a probe by its curve. One that falls faster than any core of the load can has come out, and stays out
 * until it warms again; one that stands still while every core must have fallen is in another bag, or broken.
 * @param before its readings so far, oldest first
 */
export function doubtOf(
  now: Omit<Heard, 'was'>,
  before: readonly Heard[],
  isOut: boolean,
  fall: FallBetween,
): CurveDoubt {
  const last = before.at(-1);
  if (last === undefined) return null;
  const fellK = last.tempC - now.tempC;
  const gapMs = now.t - last.t;
  if (isOut)
    return fellK > -backK
      ? { why: 'The probe had come out of the load before and was not put back.', is: 'out' }
      : null;
  if (gapMs <= suddenMs && fellK > fall(last.index, now.index).mostK + marginK)
    return {
      why: `It fell by ${fellK.toFixed(0)} K in ${minutes(gapMs)}, faster than a core of this load can: the probe has come out of it.`,
      is: 'out',
    };
  const first = before.findLast(({ t, was }) => was !== 'doubted' && now.t - t >= followMs);
  if (first === undefined) return null;
  const { leastK } = fall(first.index, now.index);
  if (leastK < tellingK || first.tempC - now.tempC >= leastK / 2) return null;
  return {
    why: `It stands at ${degrees(now.tempC)} for ${minutes(now.t - first.t)} in which a core of this load must have fallen by ${leastK.toFixed(0)} K: the probe is in another bag, or stands still.`,
    is: 'still',
    since: first.t,
  };
}
