import type { SeriesPoint } from '../../../shared/readings.ts';
import type { EpochMs } from '../../../shared/time.ts';

/** A series as a chart takes it: columns, with a null where readings are missing. */
export interface Columns {
  x: EpochMs[];
  mean: (number | null)[];
  min: (number | null)[];
  max: (number | null)[];
}

/** The spacing that most neighbours have, ms; 0 with fewer than two points. */
function usualStep(points: readonly Pick<SeriesPoint, 't'>[]): number {
  const steps = points.slice(1).map(({ t }, at) => t - points[at]!.t);
  return steps.sort((a, b) => a - b)[Math.floor(steps.length / 2)] ?? 0;
}

/**
 * Turns points into columns. Where more than two and a half steps pass without a point, a gap stays open:
 * a line across it would claim readings that nobody took. A step is the expected one, or the usual one of
 * these points where that is longer: a sensor that always speaks more rarely than expected has no gaps.
 */
export function columnsOf(
  points: readonly SeriesPoint[],
  expectedMs: number,
  shown: (si: number) => number,
): Columns {
  const stepMs = Math.max(expectedMs, usualStep(points));
  const columns: Columns = { x: [], mean: [], min: [], max: [] };
  let before: SeriesPoint | undefined;
  for (const point of points) {
    if (before !== undefined && point.t - before.t > 2.5 * stepMs) {
      columns.x.push(before.t + stepMs);
      for (const column of [columns.mean, columns.min, columns.max]) column.push(null);
    }
    columns.x.push(point.t);
    columns.mean.push(shown(point.mean));
    columns.min.push(shown(point.min));
    columns.max.push(shown(point.max));
    before = point;
  }
  return columns;
}

/** Values that stand alone between gaps: no line touches them, so they are drawn as dots. */
export function lonePoints(values: ArrayLike<number | null | undefined>): number[] {
  const lone: number[] = [];
  let candidate: number | null = null;
  let joined = false;
  const close = () => {
    if (candidate !== null && !joined) lone.push(candidate);
    candidate = null;
    joined = false;
  };
  for (let at = 0; at < values.length; at += 1) {
    const value = values[at];
    if (value === undefined) continue;
    if (value === null) close();
    else if (candidate === null) candidate = at;
    else joined = true;
  }
  close();
  return lone;
}

/** Several series on one time axis; undefined (nothing here) is kept apart from null (a gap). */
export function joinColumns(all: readonly Columns[]): { x: EpochMs[]; columns: Omit<Columns, 'x'>[] } {
  const x = [...new Set(all.flatMap((columns) => columns.x))].sort((a, b) => a - b);
  const place = new Map(x.map((t, at) => [t, at]));
  const columns = all.map((one) => {
    const spread = (values: (number | null)[]) => {
      const wide = new Array<number | null>(x.length);
      values.forEach((value, at) => {
        wide[place.get(one.x[at]!)!] = value;
      });
      return wide;
    };
    return { mean: spread(one.mean), min: spread(one.min), max: spread(one.max) };
  });
  return { x, columns };
}
