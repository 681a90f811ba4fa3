import type { ReadingsHistory, Series, SeriesPoint, SeriesQuestion } from '../../shared/readings.ts';
import { bucketStart } from '../store/bucket.ts';
import { widthsToTry } from '../store/choose-width.ts';
import type { InfluxConnection, InfluxRow } from './connection.ts';
import { measurement } from './line.ts';

const span = 'time >= $from AND time < $to AND "site" = $site AND "channel" = $channel';
const source = `FROM "${measurement}" WHERE ${span}`;

type Row = Record<string, number | string | null>;
const rowsOf = ([series]: InfluxRow[]): Row[] =>
  (series?.values ?? []).map((values) =>
    Object.fromEntries(series!.columns.map((column, index) => [column, values[index] ?? null])),
  );
/** InfluxQL binds times as nanoseconds; as text they keep every digit. */
const instant = (t: number): string => new Date(t).toISOString();

/** Long history of one site, read back from an InfluxDB by InfluxQL (1.x, or 2.x through its mapping). */
export function createInfluxHistory(connection: InfluxConnection, site: string): ReadingsHistory {
  async function raw({ channel, from, to }: SeriesQuestion, most: number): Promise<SeriesPoint[]> {
    const text = `SELECT "value", "quality" ${source} LIMIT ${most}`;
    const rows = rowsOf(await connection.ask(text, { site, channel, from: instant(from), to: instant(to) }));
    return rows.map(({ time, value, quality }) => {
      const [t, v] = [Number(time), Number(value)];
      return { t, count: 1, min: v, max: v, mean: v, last: v, marked: quality === 'good' ? 0 : 1 };
    });
  }

  async function rolled({ channel, from, to }: SeriesQuestion, widthMs: number, most: number) {
    const start = bucketStart(from, widthMs);
    const end = bucketStart(to - 1, widthMs) + widthMs;
    const bound = { site, channel, from: instant(start), to: instant(end) };
    const grouped = `GROUP BY time(${widthMs}ms) fill(none)`;
    const values = 'count("value"), min("value"), max("value"), mean("value"), last("value")';
    const rows = rowsOf(await connection.ask(`SELECT ${values} ${source} ${grouped} LIMIT ${most}`, bound));
    const marked = rowsOf(
      await connection.ask(`SELECT count("value") ${source} AND "quality" != 'good' ${grouped}`, bound),
    );
    const markedAt = new Map(marked.map(({ time, count }) => [time, Number(count)]));
    return rows.map(
      ({ time, count, min, max, mean, last }): SeriesPoint => ({
        t: Number(time),
        count: Number(count),
        min: Number(min),
        max: Number(max),
        mean: Number(mean),
        last: Number(last),
        marked: markedAt.get(time!) ?? 0,
      }),
    );
  }

  return {
    async series(question: SeriesQuestion): Promise<Series> {
      const { channel, from, to, maxPoints } = question;
      if (!(from < to)) return { channel, bucketMs: 0, points: [] };
      const most = Math.max(1, Math.floor(maxPoints));
      const widths = widthsToTry(question);
      for (const bucketMs of widths.slice(0, -1)) {
        const points =
          bucketMs === 0 ? await raw(question, most + 1) : await rolled(question, bucketMs, most + 1);
        if (points.length <= most) return { channel, bucketMs, points };
      }
      const bucketMs = widths.at(-1)!;
      return { channel, bucketMs, points: await rolled(question, bucketMs, most + 1) };
    },
    async channels(): Promise<string[]> {
      const text = `SHOW TAG VALUES FROM "${measurement}" WITH KEY = "channel" WHERE "site" = $site`;
      return rowsOf(await connection.ask(text, { site }))
        .map(({ value }) => String(value))
        .sort();
    },
  };
}
