import type { RateRow } from '../../shared/growth/fit.ts';

const columns = 64;
const lines = 15;

/** A curve and the table's points as lines of text: o a rate, · the curve. */
export function textPlot(rows: readonly RateRow[], curve: (tempC: number) => number): string {
  const temperatures = rows.map(({ tempC }) => tempC);
  const fromC = Math.floor(Math.min(...temperatures) - 3);
  const toC = Math.ceil(Math.max(...temperatures) + 3);
  const tempAt = (column: number): number => fromC + ((toC - fromC) * column) / (columns - 1);
  const along = Array.from({ length: columns }, (_, column) => curve(tempAt(column)));
  const top = 1.05 * Math.max(...along, ...rows.map(({ rate }) => rate));
  const lineOf = (rate: number): number => Math.round((lines - 1) * (1 - rate / top));

  const grid = Array.from({ length: lines }, () => new Array<string>(columns).fill(' '));
  along.forEach((rate, column) => {
    grid[lineOf(rate)]![column] = '·';
  });
  for (const { tempC, rate } of rows)
    grid[lineOf(rate)]![Math.round(((columns - 1) * (tempC - fromC)) / (toC - fromC))] = 'o';

  const label = (line: number): string =>
    line % 7 === 0 ? (top * (1 - line / (lines - 1))).toPrecision(2).padStart(7) : ' '.repeat(7);
  const body = grid.map((cells, line) => `${label(line)} |${cells.join('').trimEnd()}`);
  const foot = `${' '.repeat(8)}+${'-'.repeat(columns)}`;
  const scale = `${' '.repeat(9)}${String(fromC).padEnd(columns - String(toC).length - 5)}${toC} degC`;
  return [...body, foot, scale].join('\n');
}
