import { meanOf } from '../../shared/stats/mean.ts';
import { clamp } from '../../shared/stats/range.ts';
import { type EpochMs, hourMs } from '../../shared/time.ts';
import { type ComingWarmth, raised } from './coming.ts';
import type { Future } from './future.ts';
import { horizonH } from './rows.ts';

/** How far a room's model says that its air lies, and is to lie, from its usual day, hour by hour [K]. */
export interface RoomDepartures {
  room: string;
  /** Beginning of the first hour; what was told of hours before it stays. */
  from: EpochMs;
  departureK: readonly number[];
  /** How unsure that is, of the same hours [K, 1 sd]. */
  sdK: readonly number[];
}

/** What was told of one room's departures; 0 where nothing was. */
export interface ExplainedAir {
  /** In an hour since the epoch, and at an instant. */
  atHour(hour: number): number;
  at(t: EpochMs): number;
  /** How unsure that is, as known at another instant [K, 1 sd]. */
  sdAt(t: EpochMs, knownAt: EpochMs): number;
  /** @returns the first hour that is told otherwise now; Infinity without one */
  tell(departures: RoomDepartures): number;
  /** All that was told, as one telling. */
  told(room: string): RoomDepartures;
  /** Air to expect with it; rows begin at `startT`. */
  onTop(future: Future, startT: EpochMs): Future;
  dropBefore(t: EpochMs): void;
}

const hourOf = (t: EpochMs): number => Math.floor(t / hourMs);
/** What is told of the hours furthest ahead no longer knows of today: further on it stays as unsure as on that day. */
const lastHours = 24;
/** From an hour to the next so much of an error stays: the weather's lasts longer, but shows by day alone. Set on simulated rooms. */
const keptPerHour = Math.exp(-1 / 12);

/** Replaces what there is from an index on. */
function replaceFrom(list: number[], index: number, values: readonly number[]): void {
  list.length = Math.min(list.length, index);
  while (list.length < index) list.push(0);
  list.push(...values);
}

/**
 * Standard deviation of the mean over the hours up to each, 1 to `horizonH`, of errors that last.
 * @param sdAtHour of the error in each hour from now on
 */
function meanSds(sdAtHour: (ahead: number) => number): Float64Array {
  const sds = new Float64Array(Math.ceil(horizonH) + 1);
  let variance = 0;
  let carried = 0;
  for (let hours = 1; hours < sds.length; hours++) {
    const sd = sdAtHour(hours - 1);
    variance += sd * sd + 2 * sd * keptPerHour * carried;
    carried = sd + keptPerHour * carried;
    sds[hours] = Math.sqrt(variance) / hours;
  }
  sds[0] = sds[1]!;
  return sds;
}

export function createExplainedAir(): ExplainedAir {
  /** Hour of the first value. */
  let base = 0;
  const values: number[] = [];
  const sds: number[] = [];
  const atHour = (hour: number): number => values[hour - base] ?? 0;
  /** Of hours beyond those told of. */
  let furtherSdK = 0;
  const sdAtHour = (hour: number, known: number): number => {
    const end = base + values.length;
    if (hour < end) return sds[hour - base] ?? 0;
    return known < end ? furtherSdK : 0;
  };

  return {
    atHour,
    at: (t) => atHour(hourOf(t)),
    sdAt: (t, knownAt) => sdAtHour(hourOf(t), hourOf(knownAt)),
    tell({ from, departureK, sdK }) {
      const first = hourOf(from);
      if (values.length === 0) base = first;
      const kept = Math.max(0, first - base);
      const [wasK, wasSdK, wasFrom] = [values.slice(kept), sds.slice(kept), base + kept];
      if (first < base) base = first;
      replaceFrom(values, kept, departureK);
      replaceFrom(sds, kept, sdK);
      const furthest = sds.slice(-lastHours);
      furtherSdK = Math.sqrt(meanOf(furthest.map((sd) => sd * sd)));
      const last = Math.max(base + values.length, wasFrom + wasK.length);
      for (let hour = first; hour < last; hour++) {
        const [was, is] = [hour - wasFrom, hour - base];
        if ((wasK[was] ?? 0) !== (values[is] ?? 0) || (wasSdK[was] ?? 0) !== (sds[is] ?? 0)) return hour;
      }
      return Number.POSITIVE_INFINITY;
    },
    told: (room) => ({ room, from: base * hourMs, departureK: values.slice(), sdK: sds.slice() }),
    onTop(future, startT) {
      const start = hourOf(startT);
      const riseK = values.slice(Math.max(0, start - base));
      if (riseK.length === 0) return future;
      const from = Math.max(base, start) * hourMs;
      const warmth: ComingWarmth = { room: '', from, stepMs: hourMs, riseK, sdK: [] };
      const meanSd = meanSds((ahead) => sdAtHour(start + ahead, start));
      const { sdOver } = future;
      return {
        ...raised(future, startT, [warmth]),
        sdOver(hours) {
          const before = clamp(Math.floor(hours), 0, meanSd.length - 2);
          const part = clamp(hours - before, 0, 1);
          const own = meanSd[before]! + part * (meanSd[before + 1]! - meanSd[before]!);
          return Math.hypot(sdOver(hours), own);
        },
      };
    },
    dropBefore(t) {
      const dropped = Math.min(values.length, Math.max(0, hourOf(t) - base));
      values.splice(0, dropped);
      sds.splice(0, dropped);
      base += dropped;
    },
  };
}
