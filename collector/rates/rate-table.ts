import { parse } from 'csv-parse/sync';
import { messageOf } from '../../shared/errors.ts';
import type { RateRow } from '../../shared/growth/fit.ts';

/** Which column is which, where the header does not say. */
export interface RateColumns {
  temperature?: string | undefined;
  rate?: string | undefined;
  sd?: string | undefined;
  fahrenheit?: boolean;
}

export interface RateTable {
  rows: RateRow[];
  /** Temperatures were given in degF. */
  fahrenheit: boolean;
}

/** Either the table, or every problem in it as `file:line: found; wanted`. */
export type ParsedRates = { ok: true; table: RateTable } | { ok: false; problems: string[] };

interface Line {
  record: string[];
  info: { lines: number };
}
type Role = 'temperature' | 'rate' | 'sd';

const letters = (name: string): string => name.toLowerCase().replaceAll(/[^a-z]/g, '');
const looksLike: Record<Role, RegExp> = {
  temperature: /^(t|tc|tf|temp.*|deg[cf])$/,
  rate: /^(rate|growth).*$/,
  sd: /^(sd|std|stdev|standarddeviation).*$/,
};
const isFahrenheit = (name: string): boolean => /(°\s*|deg\s*|[_ (])f\b|fahrenheit/i.test(name);
const isNumber = (text: string): boolean => text !== '' && Number.isFinite(numberIn(text));

/** A number with a decimal point, or with a decimal comma where commas part no columns. */
const numberIn = (text: string): number =>
  Number(/^[-+]?\d*,\d+$/.test(text) ? text.replace(',', '.') : text);

/** The separator that the first line has most of. */
function separatorOf(text: string): string {
  const first = text.split('\n').find((line) => line.trim() !== '' && !line.startsWith('#')) ?? '';
  const count = (mark: string): number => first.split(mark).length;
  return [';', '\t', ','].reduce((most, mark) => (count(mark) > count(most) ? mark : most), ',');
}

/** Columns by role from the header, or why not. */
function columnsOf(head: readonly string[], given: RateColumns): Record<Role, number> | string {
  const find = (role: Role): number => {
    const named = given[role];
    return head.findIndex((name) =>
      named === undefined ? looksLike[role].test(letters(name)) : name === named,
    );
  };
  const found = { temperature: find('temperature'), rate: find('rate'), sd: find('sd') };
  const missing = (['temperature', 'rate', 'sd'] as const).filter(
    (role) => found[role] < 0 && (role !== 'sd' || given.sd !== undefined),
  );
  if (missing.length === 0) return found;
  return `no column for ${missing.map((role) => given[role] ?? role).join(' and ')} in the header "${head.join(', ')}"; name it temperature, rate or sd there, or with --${missing[0]} NAME`;
}

/**
 * Reads a table of growth rates: a header that names temperature and rate (and sd, if there is one), then a line
 * for each rate; several lines of one temperature are replicates. Other columns are passed over; a file of two
 * columns of numbers needs no header. Lines that begin with # are remarks.
 */
export function parseRates(text: string, file: string, given: RateColumns = {}): ParsedRates {
  let lines: Line[];
  try {
    lines = parse(text, {
      bom: true,
      comment: '#',
      comment_no_infix: true,
      delimiter: separatorOf(text),
      info: true,
      relax_column_count: true,
      skip_empty_lines: true,
      trim: true,
    }) as unknown as Line[];
  } catch (thrown) {
    return { ok: false, problems: [`${file}: ${messageOf(thrown)}`] };
  }
  const head = lines[0];
  if (head === undefined)
    return {
      ok: false,
      problems: [`${file}: empty; wanted a header "temperature,rate" and a line for each rate`],
    };
  const bare = head.record.length === 2 && head.record.every(isNumber);
  const columns = bare ? { temperature: 0, rate: 1, sd: -1 } : columnsOf(head.record, given);
  if (typeof columns === 'string') return { ok: false, problems: [`${file}:${head.info.lines}: ${columns}`] };

  const fahrenheit = given.fahrenheit === true || isFahrenheit(head.record[columns.temperature]!);
  const problems: string[] = [];
  const rows = lines.slice(bare ? 0 : 1).map(({ record, info }): RateRow => {
    const number = (role: Role, low: number, high: number, wanted: string): number => {
      const cell = record[columns[role]] ?? '';
      const value = isNumber(cell) ? numberIn(cell) : Number.NaN;
      if (!(value >= low && value <= high))
        problems.push(
          `${file}:${info.lines}: ${role} ${cell === '' ? 'is missing' : `"${cell}"`}; wanted ${wanted}`,
        );
      return value;
    };
    const [low, high] = fahrenheit ? [-40, 302] : [-40, 150];
    const unit = fahrenheit ? 'degF' : 'degC';
    const temperature = number('temperature', low!, high!, `a number from ${low} to ${high} ${unit}`);
    const rate = number('rate', 0, Number.MAX_VALUE, 'a number of 0 or more');
    const tempC = fahrenheit ? (temperature - 32) / 1.8 : temperature;
    if (columns.sd < 0) return { tempC, rate };
    return { tempC, rate, sd: number('sd', Number.MIN_VALUE, Number.MAX_VALUE, 'a number above 0') };
  });
  return problems.length > 0 ? { ok: false, problems } : { ok: true, table: { rows, fahrenheit } };
}
