import type { Farm } from '../../shared/farm/farm.ts';
import type { LiveValue, Reading } from '../../shared/readings.ts';
import { type Cancel, type Clock, type EpochMs, secondMs } from '../../shared/time.ts';
import { isUsable } from '../../shared/usable.ts';
import { createTrend, type Trend } from './trend.ts';
import { aheadMs } from './validate.ts';

/** Expected periods without a fresh reading after which a channel counts as silent. */
const silentAfterPeriods = 2;
const tickMs = 5 * secondMs;

interface State {
  periodMs: number;
  newest: Pick<Reading, 't' | 'value' | 'quality'> | undefined;
  /** Last sign of life, epoch ms; at first the instant from which one was expected. */
  seenAt: EpochMs;
  silent: boolean;
  trend: Trend;
  newTrend: () => Trend;
  /** Computed when asked for; undefined after a value that may have changed it. */
  trendPerH: number | null | undefined;
  trendAt: EpochMs;
}

/** On and off neither rise nor fall. */
const noTrend: Trend = { add: () => false, perHour: () => null };

export interface LiveValues {
  /** The newest value of a channel; undefined while there is none. */
  value(channel: string): LiveValue | undefined;
  all(): Record<string, LiveValue>;
  /** Whether two expected periods passed without a fresh reading; true also for one that never sent. */
  silent(channel: string): boolean;
  /** When a fresh reading last came, or from when one was expected. */
  seenAt(channel: string): EpochMs | undefined;
  /** Told the channels that fell silent, or spoke again, since the last time. */
  onSilence(listener: (channels: readonly string[]) => void): Cancel;
  /** Lays readings from the store under what is live, oldest first, so that a restart begins with values. */
  restore(readings: readonly Pick<Reading, 'channel' | 't' | 'value' | 'quality'>[]): void;
}

/**
 * The newest value of every channel of the farm. A late reading feeds the trend and never moves the value
 * back; a retained one shows a value and is no sign of life.
 */
export function createLiveValues({ farm, clock }: { farm: Farm; clock: Clock }) {
  let states = new Map<string, State>();
  const listeners = new Set<(channels: readonly string[]) => void>();
  let turned: string[] = [];

  const setFarm = (next: Farm): void => {
    const now = clock.now();
    const kept = states;
    states = new Map();
    for (const [id, channel] of next.channels) {
      const periodMs = channel.sensor.everyS * 1000;
      const before = kept.get(id);
      const newTrend = channel.quantity === 'cooler-on' ? () => noTrend : () => createTrend(periodMs / 1000);
      states.set(id, before?.periodMs === periodMs ? before : blankState(periodMs, newTrend, now, before));
    }
  };

  const apply = (reading: Reading): void => {
    const state = states.get(reading.channel);
    if (state === undefined) return;
    const { t } = reading;
    // The clock was set back: what lies ahead of it was heard before, and must not hide what comes now.
    if (state.newest !== undefined && state.newest.t > clock.now() + aheadMs) {
      state.newest = undefined;
      state.trend = state.newTrend();
      state.trendPerH = undefined;
    }
    if (isUsable(reading.quality) && state.trend.add(t, reading.value)) state.trendPerH = undefined;
    if (state.newest !== undefined && t <= state.newest.t) return;
    state.newest = reading;
    if (reading.retained) return;
    state.seenAt = reading.receivedAt;
    if (!state.silent) return;
    state.silent = false;
    turned.push(reading.channel);
  };

  const tick = (): void => {
    const now = clock.now();
    for (const [id, state] of states)
      if (!state.silent && now - state.seenAt > silentAfterPeriods * state.periodMs) {
        state.silent = true;
        turned.push(id);
      }
    if (turned.length === 0) return;
    const channels = turned;
    turned = [];
    for (const listener of listeners) listener(channels);
  };

  const show = (state: State): LiveValue | undefined => {
    if (state.newest === undefined) return undefined;
    const now = clock.now();
    // Also as time passes with no value: the window moves on.
    if (state.trendPerH === undefined || now - state.trendAt > 60 * secondMs) {
      state.trendPerH = state.trend.perHour(now);
      state.trendAt = now;
    }
    const { t, value, quality } = state.newest;
    return { t, value, quality, trendPerH: state.trendPerH, silent: state.silent };
  };

  const value = (channel: string): LiveValue | undefined => {
    const state = states.get(channel);
    return state === undefined ? undefined : show(state);
  };

  setFarm(farm);
  const cancelTick = clock.every(tickMs, tick);
  return {
    setFarm,
    apply,
    value,
    all(): Record<string, LiveValue> {
      const values: Record<string, LiveValue> = {};
      for (const [id, state] of states) {
        const shown = show(state);
        if (shown !== undefined) values[id] = shown;
      }
      return values;
    },
    silent: (channel: string): boolean => states.get(channel)?.silent ?? false,
    seenAt: (channel: string): EpochMs | undefined => states.get(channel)?.seenAt,
    onSilence(listener: (channels: readonly string[]) => void): Cancel {
      listeners.add(listener);
      return () => listeners.delete(listener);
    },
    restore(readings: readonly Pick<Reading, 'channel' | 't' | 'value' | 'quality'>[]): void {
      for (const { channel, t, value: restored, quality } of readings) {
        const state = states.get(channel);
        if (state === undefined) continue;
        if (quality === 'good') state.trend.add(t, restored);
        state.trendPerH = undefined;
        if (state.newest === undefined || t > state.newest.t) state.newest = { t, value: restored, quality };
      }
    },
    close(): void {
      cancelTick();
      listeners.clear();
    },
  };
}

function blankState(periodMs: number, newTrend: () => Trend, now: EpochMs, before: State | undefined): State {
  return {
    periodMs,
    newest: before?.newest,
    // Expected more often from now on, it was not silent before.
    seenAt: before?.periodMs === periodMs ? before.seenAt : now,
    silent: false,
    trend: newTrend(),
    newTrend,
    trendPerH: undefined,
    trendAt: now,
  };
}
