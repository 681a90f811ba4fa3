import { stringify } from 'csv-stringify/sync';
import type { AlarmJournalEntry } from '../../shared/alarms.ts';
import { textCell } from '../../shared/csv.ts';

const columns = ['time', 'alarm', 'title', 'event', 'from', 'to', 'who', 'why', 'value', 'limit', 'line'];

/** Journal lines as CSV (RFC 4180) in the order given; times in UTC, values in SI. */
export const journalCsv = (lines: readonly AlarmJournalEntry[]): string =>
  stringify(
    lines.map(({ t, alarm, title, event, from, to, who, why, value, limit, seq }) => [
      new Date(t).toISOString(),
      ...[alarm, title, event, from, to, who, why ?? ''].map(textCell),
      value,
      limit,
      seq,
    ]),
    { header: true, columns, record_delimiter: 'windows' },
  );
