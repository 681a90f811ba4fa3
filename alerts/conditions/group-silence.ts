import type { EpochMs } from '../../shared/time.ts';
import { silentPeriods } from './silence.ts';

/** What is known of one sensor's signs of life. */
export interface Heard {
  heardAt: EpochMs;
  everyMs: number;
}

/** A sensor that is this many periods late is doubted, and counts as silent where one of its group surely is. */
const doubtedPeriods = 1;
const lostPeriods = 1.5;

/**
 * Whether sensors that share something (a gateway, a room's power, the broker) are silent together. `unsure`:
 * one is silent and all others are late, so that a moment more tells whether the cause is common.
 */
export function groupLife(members: readonly Heard[], now: EpochMs): 'alive' | 'unsure' | 'silent' {
  const periods = members.map(({ heardAt, everyMs }) => (now - heardAt) / everyMs);
  if (!periods.some((late) => late > silentPeriods)) return 'alive';
  if (periods.every((late) => late > lostPeriods)) return 'silent';
  return periods.every((late) => late > doubtedPeriods) ? 'unsure' : 'alive';
}
