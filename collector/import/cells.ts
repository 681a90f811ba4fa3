import { parse } from 'csv-parse/sync';
import { AppError } from '../../shared/errors.ts';

const delimiters = [',', ';', '\t'] as const;

/** The delimiter that a header line uses most; a comma when it uses none. */
export function delimiterOf(header: string): string {
  const count = (delimiter: string) => header.split(delimiter).length;
  return delimiters.reduce((best, one) => (count(one) > count(best) ? one : best));
}

/**
 * Cells of one line of a table. A line without quotes, which is nearly every line of a readings file, is only
 * cut; the others go through the parser (RFC 4180). A record never runs over several lines, so that one open
 * quote spoils one line and no more.
 *
 * @throws AppError 'bad-request' for quotes that do not close.
 */
export function cellsOf(line: string, delimiter: string): string[] {
  if (!line.includes('"')) return line.split(delimiter);
  try {
    return (parse(line, { delimiter, trim: true, relax_column_count: true }) as string[][])[0] ?? [];
  } catch (cause) {
    throw new AppError('bad-request', 'its quotes do not close; end the quoted text with "', { cause });
  }
}
