import type { Provenance, ShelfAirSeries } from '../../shared/forecasts.ts';
import type { ShelfAirQuestion } from '../../shared/ports.ts';
import { type EpochMs, hourMs } from '../../shared/time.ts';
import type { AirBook } from './air-book.ts';
import { stepMs, stepOf, timeOf } from './grid.ts';
import { rowCount, rowEndH, rowLengthH } from './rows.ts';

type Point = ShelfAirSeries['points'][number];

/** From the surest to the least sure. */
const order: readonly Provenance[] = ['measured', 'neighbour', 'filled'];

/** Spans begin on multiples of their length, so that a chart drawn again draws the same. */
function past(air: AirBook, shelf: string, from: number, to: number, every: number): Point[] {
  const points: Point[] = [];
  for (let start = from; start < to; ) {
    const end = Math.min((Math.floor(start / every) + 1) * every, to);
    let sum = 0;
    let variance = 0;
    let least = 0;
    for (let step = start; step < end; step++) {
      const { tempC, sdK, source } = air.at(shelf, step);
      sum += tempC;
      variance += sdK * sdK;
      least = Math.max(least, order.indexOf(source));
    }
    const count = end - start;
    points.push({
      t: (timeOf(start) + timeOf(end)) / 2,
      tempC: sum / count,
      sdK: Math.sqrt(variance / count),
      source: order[least]!,
    });
    start = end;
  }
  return points;
}

function expected(air: AirBook, shelf: string, now: number, to: EpochMs, everyMs: number): Point[] {
  const points: Point[] = [];
  let last = Number.NEGATIVE_INFINITY;
  for (let row = 0; row < rowCount; row++) {
    const middleH = rowEndH[row]! - rowLengthH[row]! / 2;
    const t = timeOf(now) + middleH * hourMs;
    if (t >= to) break;
    if (t - last < everyMs) continue;
    last = t;
    points.push({ t, ...air.expected(shelf, now, t), source: 'filled' });
  }
  return points;
}

/**
 * Air at a shelf as forecasts take it. Begins with the first reading that is still held, which is at least three
 * weeks before the oldest standing batch; nothing is said of the time before.
 */
export function shelfAirOf(
  air: AirBook,
  { shelf, from, to, maxPoints }: ShelfAirQuestion,
  now: EpochMs,
): ShelfAirSeries {
  const nowStep = stepOf(now);
  const wanted = { from: stepOf(from), to: stepOf(to - 1) + 1 };
  const every = Math.max(1, Math.ceil((wanted.to - wanted.from) / Math.max(1, maxPoints)));
  const first = Math.max(wanted.from, air.first(shelf));
  const until = Math.min(wanted.to, nowStep);
  return {
    shelf,
    stepMs: every * stepMs,
    now,
    points: [
      ...(first < until ? past(air, shelf, first, until, every) : []),
      ...(to > now && Number.isFinite(now) ? expected(air, shelf, nowStep, to, every * stepMs) : []),
    ],
  };
}
