import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { columnsOf, joinColumns, lonePoints } from '../../../../../dashboard/web/chart/gaps.ts';
import { timeMarks } from '../../../../../dashboard/web/chart/time-axis.ts';
import type { SeriesPoint } from '../../../../../shared/readings.ts';
import { dayMs, hourMs, minuteMs } from '../../../../../shared/time.ts';

const zone = 'Europe/Berlin';
const point = (t: number, mean: number): SeriesPoint => ({
  t,
  count: 1,
  min: mean - 1,
  max: mean + 1,
  mean,
  last: mean,
  marked: 0,
});

describe('the time axis', () => {
  it('marks round hours of the site’s clock, and names the day at midnight', () => {
    const from = Date.UTC(2026, 10, 23, 13, 32);
    const marks = timeMarks(from, from + dayMs, zone, 9);
    expect(marks.map(({ text }) => text)).toEqual([
      '15:00',
      '18:00',
      '21:00',
      'Tue 24',
      '03:00',
      '06:00',
      '09:00',
      '12:00',
    ]);
  });

  it('keeps midnight at midnight across a change of the clock', () => {
    const from = Date.UTC(2026, 9, 23, 22);
    const days = timeMarks(from, from + 4 * dayMs, zone, 5);
    expect(days.map(({ t }) => (t - from) / hourMs)).toEqual([0, 24, 49, 73]);
  });

  it('marks months and years over long spans', () => {
    const from = Date.UTC(2016, 10, 24);
    const years = timeMarks(from, from + 3_652 * dayMs, zone, 12);
    expect(years.map(({ text }) => text)).toEqual([
      '2017',
      '2018',
      '2019',
      '2020',
      '2021',
      '2022',
      '2023',
      '2024',
      '2025',
      '2026',
    ]);
    const year = timeMarks(Date.UTC(2026, 0, 15), Date.UTC(2026, 11, 20), zone, 12);
    expect(year[0]?.text).toBe('Feb');
    expect(year.at(-1)?.text).toBe('Dec');
  });

  it('is in order, within the span, and never crowded', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 0, max: 2_000_000_000_000 }),
        fc.integer({ min: 10 * minuteMs, max: 7_000 * dayMs }),
        (from, span) => {
          const marks = timeMarks(from, from + span, zone, 10);
          expect(marks.length).toBeLessThanOrEqual(13);
          expect(marks.every(({ t }) => t >= from && t <= from + span)).toBe(true);
          expect(marks.every(({ t }, at) => at === 0 || t > marks[at - 1]!.t)).toBe(true);
        },
      ),
      { seed: 5, numRuns: 200 },
    );
  });
});

describe('gaps', () => {
  it('stay open where readings are missing, and only there', () => {
    const columns = columnsOf([point(0, 20), point(60, 21), point(120, 22), point(600, 23)], 60, (si) => si);
    expect(columns.x).toEqual([0, 60, 120, 180, 600]);
    expect(columns.mean).toEqual([20, 21, 22, null, 23]);
    expect(columns.min).toEqual([19, 20, 21, null, 22]);
  });

  it('are not seen in a sensor that always speaks more rarely than expected', () => {
    const rare = [0, 240, 480, 720, 2_000].map((t) => point(t, 20));
    expect(columnsOf(rare, 60, (si) => si).mean).toEqual([20, 20, 20, 20, null, 20]);
  });

  it('leave points that stand alone to be drawn as dots', () => {
    expect(lonePoints([20, null, 21, 22, null, 23])).toEqual([0, 5]);
    expect(lonePoints([20, undefined, 21, null, undefined, 22, undefined])).toEqual([5]);
    expect(lonePoints([])).toEqual([]);
  });

  it('write values in the unit of the screen', () => {
    expect(columnsOf([point(0, 20)], 60, (si) => si * 2).max).toEqual([42]);
  });

  it('of one series are not taken for gaps of another', () => {
    const one = columnsOf([point(0, 1), point(120, 2)], 120, (si) => si);
    const other = columnsOf([point(60, 5)], 60, (si) => si);
    const { x, columns } = joinColumns([one, other]);
    expect(x).toEqual([0, 60, 120]);
    expect(columns[0]?.mean[1]).toBeUndefined();
    expect(columns[1]?.mean).toHaveLength(3);
    expect(columns[1]?.mean[1]).toBe(5);
  });
});
