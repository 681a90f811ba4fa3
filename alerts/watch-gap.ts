import { type EpochMs, minuteMs } from '../shared/time.ts';
import { spokenSpan } from './measures.ts';
import type { SystemWords } from './records.ts';

/** Ticks come each second; a gap beyond this is a stepped clock or a process that slept. */
export const longestTickGapMs = 90_000;
/** A restart that takes less is not worth a word. */
const longestRestartMs = 5 * minuteMs;

/** What a gap between two ticks means, in words. */
export function clockWords(gapMs: number): SystemWords {
  const span = spokenSpan(Math.abs(gapMs));
  return {
    priority: 2,
    title:
      gapMs < 0
        ? `The clock was set back by ${span}`
        : `The clock went ahead by ${span}, or this computer slept: nothing was watched meanwhile`,
    advice:
      'Look at the rooms once. Let the computer set its clock by network time, and keep it from sleeping.',
  };
}

/** What is to be said when nobody watched from `last` until now; null after an ordinary restart. */
export function absenceWords(last: EpochMs | null, now: EpochMs): SystemWords | null {
  if (last === null || now - last <= longestRestartMs) return null;
  return {
    priority: 2,
    title: `Shelfwarden did not run for ${spokenSpan(now - last)}: nothing was watched`,
    advice: 'Look at the rooms once; find out why it stopped (power, update, crash) before the next night.',
  };
}
