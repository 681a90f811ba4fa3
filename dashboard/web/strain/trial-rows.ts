import type { RateRow } from '../../../shared/growth/fit.ts';
import type { Writing } from '../format/value.ts';

/** A number with a decimal point or comma; NaN for anything else. */
const numberIn = (text: string): number =>
  /^[-+−]?\d*[.,]?\d+$/.test(text) ? Number(text.replace(',', '.').replace('−', '-')) : Number.NaN;

/** Cells of a line: parted by semicolons, tabs or blanks, else by commas. */
const cellsOf = (line: string): string[] =>
  (/[;\t]|\S\s+\S/.test(line) ? line.split(/[;\t]|,?\s+/) : line.split(','))
    .map((cell) => cell.trim())
    .filter((cell) => cell !== '');

/**
 * Rates of a growth trial as somebody types them: a temperature and a rate to a line, a standard deviation after
 * them if there is one. A first line without numbers is a heading.
 * @param fahrenheit temperatures are in °F
 * @returns rows [°C], and the numbers of lines that are none
 */
export function trialRows(text: string, fahrenheit: boolean): { rows: RateRow[]; wrong: number[] } {
  const rows: RateRow[] = [];
  const wrong: number[] = [];
  text.split('\n').forEach((line, index) => {
    const cells = cellsOf(line);
    if (cells.length === 0) return;
    const [temperature, rate, sd] = cells.map(numberIn);
    const isHeading = rows.length === 0 && wrong.length === 0 && cells.every((cell) => !/\d/.test(cell));
    if (isHeading) return;
    const known = [temperature, rate, ...(cells.length > 2 ? [sd] : [])];
    if (cells.length < 2 || cells.length > 3 || !known.every(Number.isFinite)) {
      wrong.push(index + 1);
      return;
    }
    const tempC = fahrenheit ? (temperature! - 32) / 1.8 : temperature!;
    rows.push(sd === undefined ? { tempC, rate: rate! } : { tempC, rate: rate!, sd });
  });
  return { rows, wrong };
}

/** Pleurotus eryngii, mean of 28 strains on agar [°C, mm/d] (Soylu, Boztok & Esiyok 2016, Acta Hort. 1123). */
const published = [
  [15, 0.9],
  [20, 2.84],
  [25, 3.35],
  [30, 2.39],
] as const;

/** What rates look like as they are typed, in the unit of the screen. */
export const exampleRates = ({ shown }: Pick<Writing, 'shown'>): string =>
  published.map(([tempC, rate]) => `${shown(tempC)}  ${rate.toFixed(2)}`).join('\n');
