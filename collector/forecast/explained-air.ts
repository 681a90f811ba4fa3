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
      const before = { base, values };
      const kept = first - base;
      const until = Math.max(0, Math.min(kept, values.length));
      const gap = values.length === 0 ? 0 : Math.max(0, kept - values.length);
      if (values.length === 0 || kept < 0) base = first;
      values = [
        ...(kept < 0 ? [] : values.slice(0, until)),
        ...new Array<number>(gap).fill(0),
        ...departureK,
      ];
      const was = (hour: number): number => before.values[hour - before.base] ?? 0;
      const last = Math.max(base + values.length, before.base + before.values.length);
      for (let hour = Math.min(base, first); hour < last; hour++) if (was(hour) !== atHour(hour)) return hour;
      return Number.POSITIVE_INFINITY;
    },
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
