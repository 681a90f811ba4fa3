import { textCell } from '../../../shared/csv.ts';
import type { Series } from '../../../shared/readings.ts';

const head = ['time', 'channel', 'unit', 'mean', 'lowest', 'highest', 'last', 'readings', 'marked'];

/**
 * Series as CSV (RFC 4180), a row for each point; values in the SI unit named in the row.
 * A text that a spreadsheet would take for a formula is quoted with an apostrophe.
 */
export function csvOf(series: readonly Series[], channels: readonly { id: string; unit: string }[]): string {
  const units = new Map(channels.map(({ id, unit }) => [id, unit]));
  const rows = series.flatMap(({ channel, points }) =>
    points.map(({ t, mean, min, max, last, count, marked }) =>
      [
        new Date(t).toISOString(),
        text(channel),
        text(units.get(channel) ?? ''),
        mean,
        min,
        max,
        last,
        count,
        marked,
      ].join(','),
    ),
  );
  return `${[head.join(','), ...rows].join('\r\n')}\r\n`;
}

function text(cell: string): string {
  const safe = textCell(cell);
  return /[",\r\n]/.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe;
}
