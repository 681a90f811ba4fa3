import { schedule } from 'node-cron';
import type { Schedule } from './digest.ts';

/** Cron patterns on the system's own clock. */
export const cronSchedule: Schedule = (pattern, zone, action) => {
  const task = schedule(pattern, action, { timezone: zone, noOverlap: true });
  return () => void task.destroy();
};
