import { schedule } from 'node-cron';
import { messageOf } from '../../shared/errors.ts';
import type { PartHealth } from '../../shared/live.ts';
import { type Clock, dayMs, minuteMs } from '../../shared/time.ts';
import { backUp, backupTimes, thinBackups } from './backup.ts';
import type { Retention } from './retention.ts';

export interface UpkeepParts {
  file: string;
  backupFolder: string;
  /** How many backups are kept. */
  keep?: number;
  retention: Retention;
  clock: Clock;
  /** IANA name of the site's zone: nights are the site's nights. */
  timeZone: string;
  onHealth: (health: PartHealth) => void;
}

const retentionAt = '10 2 * * *';
const backupAt = '30 2 * * *';
/** A machine that is off at night catches up this long after its start. */
const catchUpMs = 10 * minuteMs;

/** Nightly work of a live site: old raw readings go, a verified backup is made. */
export function startUpkeep(parts: UpkeepParts) {
  const { file, backupFolder, keep = 14, retention, clock, timeZone, onHealth } = parts;

  const say = (part: string, state: PartHealth['state'], text: string) =>
    onHealth({ part, state, text, since: clock.now() });

  async function dropOld(): Promise<void> {
    try {
      const { readings, waiting } = await retention.run();
      const kept = waiting > 0 ? `; ${waiting} old ones stay until they are forwarded` : '';
      say('retention', waiting > 0 ? 'waiting' : 'ok', `${readings} old raw readings dropped${kept}`);
    } catch (thrown) {
      say('retention', 'failed', `Old raw readings could not be dropped: ${messageOf(thrown)}`);
    }
  }
  async function backUpNow(): Promise<void> {
    try {
      const { file: copy, bytes, rows } = await backUp(file, backupFolder, clock.now());
      thinBackups(backupFolder, keep);
      say(
        'backup',
        'ok',
        `${copy}: ${(bytes / 1e6).toFixed(1)} MB, ${rows.reading ?? 0} raw readings, verified`,
      );
    } catch (thrown) {
      say('backup', 'failed', `No backup: ${messageOf(thrown)}`);
    }
  }

  const options = { timezone: timeZone, noOverlap: true };
  const tasks = [schedule(retentionAt, dropOld, options), schedule(backupAt, backUpNow, options)];
  const cancelCatchUp = clock.after(catchUpMs, () => {
    const newest = backupTimes(backupFolder).at(-1) ?? Number.NEGATIVE_INFINITY;
    if (clock.now() - newest > dayMs) void dropOld().then(backUpNow);
  });

  return {
    dropOld,
    backUp: backUpNow,
    async stop(): Promise<void> {
      cancelCatchUp();
      for (const task of tasks) await task.destroy();
    },
  };
}
