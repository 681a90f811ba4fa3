import { readFileSync } from 'node:fs';
import { parse } from 'csv-parse/sync';
import { describe, expect, it } from 'vitest';
import { type DegreeDayMethod, degreeDays } from '../../shared/growth/degree-days.ts';
import type { Cutoff } from '../../shared/growth/response-spec.ts';

/** University of California IPM degree-day reference, Esparto 2020; dataset UCANR-IGIS/degree-day-challenge. */
const file = new URL('./data/degree-days-esparto-2020.csv', import.meta.url);
const rows = parse(readFileSync(file), { columns: true, comment: '#', trim: true }) as Record<
  string,
  string
>[];
const number = (row: number, column: string): number => Number(rows[row]![column]);

const methods: [string, DegreeDayMethod][] = [
  ['sngsine', 'single-sine'],
  ['dblsine', 'double-sine'],
  ['sngtri', 'single-triangle'],
  ['dbltri', 'double-triangle'],
];
const cutoffs: [string, Cutoff][] = [
  ['horiz', 'horizontal'],
  ['vert', 'vertical'],
  ['intrmd', 'intermediate'],
];

/**
 * The table has two stretches of days; the last day of each lacks the minimum that follows it, which only the
 * double methods need. Found as the whole number that meets the table's double sine answers, it is then held
 * against the double triangle ones, so those rows still test something.
 */
function nextMinimum(row: number): number {
  const next = rows[row + 1];
  const gap = next ? Date.parse(`${next.date} UTC`) - Date.parse(`${rows[row]!.date} UTC`) : Infinity;
  if (next && gap === 86_400_000) return Number(next.tmin);
  const whole = Array.from({ length: 60 }, (_, index) => 20 + index).filter((nextMin) =>
    cutoffs.every(
      ([short, cutoff]) =>
        nextMin <= number(row, 'tmax') &&
        Math.abs(answer(row, 'double-sine', cutoff, nextMin) - number(row, `dblsine_${short}`)) <= 0.0051,
    ),
  );
  expect(whole, `row ${row + 1} has exactly one following minimum`).toHaveLength(1);
  return whole[0]!;
}

const answer = (row: number, method: DegreeDayMethod, cutoff: Cutoff, nextMin?: number): number =>
  degreeDays(
    { min: number(row, 'tmin'), max: number(row, 'tmax'), nextMin },
    { lower: 50, upper: 70, method, cutoff },
  );

describe('degree-days against the University of California reference', () => {
  it('has 42 days', () => expect(rows).toHaveLength(42));

  for (const [name, method] of methods)
    for (const [short, cutoff] of cutoffs)
      it(`${method}, ${cutoff} cut-off, every day to the table's rounding`, () => {
        rows.forEach((_, row) => {
          const miss = answer(row, method, cutoff, nextMinimum(row)) - number(row, `${name}_${short}`);
          // The table has two decimals; 5.1e-3 leaves room for a tie at the last one.
          expect(Math.abs(miss), `${rows[row]!.date}`).toBeLessThanOrEqual(0.0051);
        });
      });
});

describe('corn, 86 and 50 degF (extension services, modified average)', () => {
  const corn = (max: number, min: number): number =>
    degreeDays({ min, max }, { lower: 50, upper: 86, method: 'averaging', cutoff: 'horizontal' });
  it.each([
    [90, 65, 25.5],
    [72, 46, 11],
    [63, 42, 6.5],
    [87, 63, 24.5],
  ])('maximum %d, minimum %d: %d', (max, min, wanted) => expect(corn(max, min)).toBeCloseTo(wanted, 10));
  it('never more than 36 in a day', () => expect(corn(120, 95)).toBe(36));
});
