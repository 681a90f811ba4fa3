import type { Priority } from '../../shared/alarms.ts';

export interface PartAdvice {
  /** What is wrong, before the part's own words. */
  title: string;
  priority: Priority;
  advice: string;
  /** Minutes for which it must have failed before anybody is told; at once without it. */
  failedMin?: number;
  /** Minutes after which waiting counts as failing; never without it. */
  waitingMin?: number;
}

/** What to do when a part of the tool itself fails, and how urgent that is. */
export const adviceFor = {
  delivery: {
    title: 'Messages are not delivered',
    priority: 1,
    advice: 'Check the mail server and the network; watch the wall until messages go out again.',
  },
  forecasts: {
    title: 'Forecasts have stopped',
    priority: 3,
    advice: 'Start Shelfwarden again; the last forecasts are shown until then. Alarms go on.',
  },
  store: {
    title: 'Readings cannot be stored',
    priority: 1,
    advice: 'Free space on the disk of the data folder; readings wait at their senders meanwhile.',
  },
  broker: {
    title: 'No contact with the broker',
    priority: 2,
    advice: 'Check that the broker runs and that the network is up.',
  },
  disk: {
    title: 'Little room is left on the disk',
    priority: 2,
    advice: 'Free space on the disk of the data folder, or move old backups elsewhere, before it is full.',
  },
  influx: {
    title: 'Readings do not reach InfluxDB',
    priority: 3,
    advice: 'Check that InfluxDB runs and takes the token; readings wait here and nothing is lost meanwhile.',
    failedMin: 15,
    waitingMin: 360,
  },
  backup: {
    title: 'The nightly backup failed',
    priority: 3,
    advice: 'See that the backup folder is there and has room; the records themselves are safe.',
  },
} as const satisfies Record<string, PartAdvice>;

export type AdvisedPart = keyof typeof adviceFor;
export const isAdvised = (part: string): part is AdvisedPart => Object.hasOwn(adviceFor, part);
