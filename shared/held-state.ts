import { meanOfKnown } from './stats/mean.ts';
import { type EpochMs, minuteMs, secondMs } from './time.ts';

const heldPeriods = 2;

/**
 * How long a state stands without another message [ms]: two expected periods, after which its sensor counts as
 * silent; a minute at least, as states are kept no finer.
 */
export const holdMsOf = (everyS: number): number => Math.max(minuteMs, heldPeriods * everyS * secondMs);

/** What a state was told to be, and when: parallel arrays, ordered by time. */
export interface ToldStates {
  t: ArrayLike<EpochMs>;
  value: ArrayLike<number>;
}

/** Even steps from an instant on. */
interface Steps {
  from: EpochMs;
  stepMs: number;
  steps: number;
  /** Nothing is said of what comes after; the end of the steps unless given. */
  until?: EpochMs;
}

/**
 * Mean over each step of a state that is told when it changes and now and then: it stays as told until the next
 * message, and for `holdMs` at most. What is known of a step stands for it; NaN where nothing is.
 */
export function heldBySteps(
  { t, value }: ToldStates,
  { from, stepMs, steps, until: end = from + steps * stepMs }: Steps,
  holdMs: number,
): Float64Array {
  const sum = new Float64Array(steps);
  const knownMs = new Float64Array(steps);
  for (let told = 0; told < t.length; told += 1) {
    const since = Math.max(from, t[told]!);
    const until = Math.min(end, t[told]! + holdMs, t[told + 1] ?? Number.POSITIVE_INFINITY);
    for (let step = Math.floor((since - from) / stepMs); from + step * stepMs < until; step += 1) {
      const start = from + step * stepMs;
      const lengthMs = Math.min(until, start + stepMs) - Math.max(since, start);
      sum[step]! += lengthMs * value[told]!;
      knownMs[step]! += lengthMs;
    }
  }
  return sum.map((total, step) => (knownMs[step]! > 0 ? total / knownMs[step]! : Number.NaN));
}

/**
 * Mean of several over each step, of those that are known there; NaN where none is.
 *
 * @param series of one length
 */
export const meansOfKnown = (series: readonly Float64Array[], steps: number): Float64Array =>
  Float64Array.from({ length: steps }, (_, step) => meanOfKnown(series.map((one) => one[step]!)));
