import { describe, expect, test } from 'vitest';
import { hourIn, movedWords } from '../../../collector/forecast/moved-words.ts';
import { at, type BatchOptions, batchOf, dayOf, engineWith } from './farm.ts';

/** Three nights of 16 °C among days of 24 °C. */
const coldNights = (day: number): number =>
  day > 5 && day < 8 && (day % 1 < 0.25 || day % 1 > 0.87) ? 16 : 24;

function told(options: BatchOptions, air: (day: number) => number, day: number) {
  const { ready, notes } = engineWith([batchOf(options)], air).advance(at(day)).forecasts[0]!;
  return { likely: dayOf(ready.at!.likely), note: notes.find((one) => /later|sooner in/.test(one)) };
}
const daysIn = (note: string | undefined): number => Number(/^[\d.]+/.exec(note ?? '')?.[0]);

describe('what moved a forecast', () => {
  test('cold nights are told as such, with the days that they cost', () => {
    const { note, likely } = told({}, coldNights, 8);
    expect(note).toMatch(/^\d\.\d d later in three days: three nights at 16 °C on shelf A1\.$/);
    // Looked into once a day: the days told are those of some hours ago.
    expect(daysIn(note)).toBeCloseTo(likely - told({}, () => 24, 8).likely, 0);
  });

  test('a shake is told with what it gained, as the two futures have it', () => {
    const { note, likely } = told({ shakes: [6.5] }, () => 24, 7);
    expect(note).toContain('sooner in three days: the shake.');
    expect(daysIn(note)).toBeCloseTo(told({}, () => 24, 6.4).likely - likely, 0);
  });

  test('a look is told with what it said', () => {
    const { note, likely } = told({ checks: [[6, 0.1]] }, () => 24, 6.1);
    expect(note).toContain('the look that said 10 %');
    expect(daysIn(note)).toBeCloseTo(likely - told({}, () => 24, 5.9).likely, 0);
  });

  test('a move is told with the shelf that the bags went to', () => {
    expect(told({ moves: [[5, 'D1']] }, () => 24, 6).note).toContain('the move to shelf D1');
  });

  test('several causes are told in order of their size and add up', () => {
    const air = (day: number) => (day < 4 ? 24 : 19);
    const { note } = told({ checks: [[6, 0.1]], shakes: [6.2] }, air, 7);
    const parts = [...note!.matchAll(/([\d.]+) d (later|sooner) for/g)].map(
      ([, days, way]) => Number(days) * (way === 'later' ? 1 : -1),
    );
    expect(parts).toHaveLength(3);
    const total = daysIn(note) * (note!.includes('d later in') ? 1 : -1);
    expect(parts.reduce((sum, one) => sum + one, 0)).toBeCloseTo(total, 0);
    expect(parts.map(Math.abs)).toEqual([...parts.map(Math.abs)].sort((a, b) => b - a));
  });

  test('nothing is told where little moved, nor of bags that were seen full', () => {
    expect(told({}, () => 24, 7).note).toBeUndefined();
    expect(told({ checks: [[9, 1]] }, () => 24, 9.2).note).toBeUndefined();
  });

  test('taking a look back takes its words and its days back', () => {
    const engine = engineWith([batchOf({ checks: [[6, 0.1]] })], () => 24);
    engine.advance(at(7));
    engine.setBatches([batchOf()]);
    const never = engineWith([batchOf()], () => 24).advance(at(7)).forecasts;
    expect(engine.advance(at(7)).forecasts).toEqual(never);
  });
});

test('nights are those of the farm’s own zone', () => {
  const hours = Array.from({ length: 8 }, (_, i) => ({
    t: Date.UTC(2025, 0, 6, 8 + i),
    shelf: 'A1',
    tempC: 15,
    expectedC: 22,
  }));
  const moved = { from: at(0), to: at(3), days: 1, parts: [{ by: 'air' as const, days: 1, hours }] };
  expect(movedWords(moved, hourIn('UTC'))).toContain('8 h at 15 °C');
  expect(movedWords(moved, hourIn('Pacific/Auckland'))).toContain('a night at 15 °C');
});
