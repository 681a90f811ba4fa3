import type { AlarmView } from '../../shared/alarms.ts';
import type { LiveChange } from '../../shared/live.ts';
import type { Cancel, Clock } from '../../shared/time.ts';

type Slices = Omit<LiveChange, 'now'>;

/** Lays newer slices over older ones: entries of maps and forecasts by key, the rest whole. */
function merge(older: Slices, newer: Slices): Slices {
  const merged: Slices = { ...older, ...newer };
  if (older.channels !== undefined && newer.channels !== undefined)
    merged.channels = { ...older.channels, ...newer.channels };
  if (older.forecasts !== undefined && newer.forecasts !== undefined) {
    const byCohort = new Map(older.forecasts.map((forecast) => [forecast.cohort, forecast]));
    for (const forecast of newer.forecasts) byCohort.set(forecast.cohort, forecast);
    merged.forecasts = [...byCohort.values()];
  }
  if (older.endedCohorts !== undefined && newer.endedCohorts !== undefined)
    merged.endedCohorts = [...new Set([...older.endedCohorts, ...newer.endedCohorts])];
  return merged;
}

interface ChangeFeedParts {
  /** The site's own time, stamped on each change. */
  clock: Clock;
  /** Real time: a training run at 500x must not flood a screen. */
  pace: Clock;
  /** Least time between two changes sent, ms of `pace`. */
  gapMs?: number;
  /** Alarms as they stand: asked once a message, however many of them moved meanwhile. */
  alarms: () => AlarmView[];
  onListenerError: (thrown: unknown) => void;
}

/**
 * Gathers what changed and hands it to open screens: at once after a quiet spell, then at most every
 * `gapMs`, so that a reading shows within a frame or two and a burst costs one message.
 */
export function createChangeFeed({ clock, pace, gapMs = 100, alarms, onListenerError }: ChangeFeedParts) {
  const listeners = new Set<(change: LiveChange) => void>();
  let pending: Slices | undefined;
  let alarmsMoved = false;
  let cancelFlush: Cancel | undefined;
  let lastFlushAt = Number.NEGATIVE_INFINITY;

  const flush = () => {
    cancelFlush = undefined;
    if (pending === undefined) return;
    let moved: Slices = {};
    try {
      if (alarmsMoved) moved = { alarms: alarms() };
      alarmsMoved = false;
    } catch (thrown) {
      onListenerError(thrown);
    }
    const change: LiveChange = { now: clock.now(), ...pending, ...moved };
    pending = undefined;
    lastFlushAt = pace.now();
    for (const listener of listeners)
      try {
        listener(change);
      } catch (thrown) {
        onListenerError(thrown);
      }
  };

  const change = (slices: Slices): void => {
    if (listeners.size === 0) return;
    pending = pending === undefined ? slices : merge(pending, slices);
    if (cancelFlush === undefined) {
      // A clock set back must not silence the screens, hence the clamp.
      const waitMs = Math.min(gapMs, Math.max(0, lastFlushAt + gapMs - pace.now()));
      cancelFlush = pace.after(waitMs, flush);
    }
  };

  return {
    /** Notes slices that changed; they leave with the next flush. */
    change,
    /** Alarms, or how their messages stand, look different now. */
    alarmsMoved(): void {
      if (listeners.size > 0) alarmsMoved = true;
      change({});
    },
    /** False while no screen is open: then what screens alone need, need not be worked out. */
    heard: (): boolean => listeners.size > 0,
    listen(listener: (change: LiveChange) => void): Cancel {
      listeners.add(listener);
      return () => listeners.delete(listener);
    },
    close(): void {
      cancelFlush?.();
      listeners.clear();
      pending = undefined;
    },
  };
}
