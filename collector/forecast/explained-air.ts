import { type EpochMs, hourMs } from '../../shared/time.ts';
import { type ComingWarmth, raised } from './coming.ts';
import type { Future } from './future.ts';

/** How far a room's model says that its air lies, and is to lie, from its usual day, hour by hour [K]. */
export interface RoomDepartures {
  room: string;
  /** Beginning of the first hour; what was told of hours before it stays. */
  from: EpochMs;
  departureK: readonly number[];
}

/** What was told of one room's departures; 0 where nothing was. */
export interface ExplainedAir {
  /** In an hour since the epoch, and at an instant. */
  atHour(hour: number): number;
  at(t: EpochMs): number;
  /** @returns the first hour that is told otherwise now; Infinity without one */
  tell(departures: RoomDepartures): number;
  /** All that was told, as one telling. */
  told(room: string): RoomDepartures;
  /** Air to expect with it; rows begin at `startT`. */
  onTop(future: Future, startT: EpochMs): Future;
  dropBefore(t: EpochMs): void;
}

const hourOf = (t: EpochMs): number => Math.floor(t / hourMs);

export function createExplainedAir(): ExplainedAir {
  /** Hour of the first value. */
  let base = 0;
  let values: number[] = [];
  const atHour = (hour: number): number => values[hour - base] ?? 0;

  return {
    atHour,
    at: (t) => atHour(hourOf(t)),
    tell({ from, departureK }) {
      const first = hourOf(from);
      if (values.length === 0) base = first;
      const kept = Math.max(0, first - base);
      const was = values.slice(kept);
      const wasFrom = base + kept;
      if (first < base) base = first;
      values.length = Math.min(values.length, kept);
      while (values.length < kept) values.push(0);
      values.push(...departureK);
      const last = Math.max(base + values.length, wasFrom + was.length);
      for (let hour = first; hour < last; hour++)
        if ((was[hour - wasFrom] ?? 0) !== atHour(hour)) return hour;
      return Number.POSITIVE_INFINITY;
    },
    told: (room) => ({ room, from: base * hourMs, departureK: values.slice() }),
    onTop(future, startT) {
      const riseK = values.slice(Math.max(0, hourOf(startT) - base));
      if (riseK.every((rise) => rise === 0)) return future;
      const from = Math.max(base, hourOf(startT)) * hourMs;
      const warmth: ComingWarmth = { room: '', from, stepMs: hourMs, riseK };
      return raised(future, startT, [warmth]);
    },
    dropBefore(t) {
      const dropped = Math.min(values.length, Math.max(0, hourOf(t) - base));
      values = values.slice(dropped);
      base += dropped;
    },
  };
}
