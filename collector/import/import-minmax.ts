import type { Database } from 'better-sqlite3';
import { Temporal } from 'temporal-polyfill';
import { AppError, messageOf } from '../../shared/errors.ts';
import type { Farm } from '../../shared/farm/farm.ts';
import type { SensorUnit } from '../../shared/farm/schema.ts';
import { curveFromMinMax, type MinMaxDay } from '../../shared/growth/minmax.ts';
import type { Clock, EpochMs } from '../../shared/time.ts';
import { toSi } from '../../shared/units/convert.ts';
import { createReadingsLog } from '../store/readings-log.ts';
import { cellsOf, delimiterOf } from './cells.ts';
import { channelNamed } from './channel-named.ts';
import type { ImportCount } from './import-readings.ts';
import { readLines } from './lines.ts';
import type { Progress } from './progress.ts';

export interface MinMaxImport {
  database: Database;
  farm: Farm;
  clock: Pick<Clock, 'now'>;
  progress: Progress;
  /** Channel, sensor, shelf or room whose air the log is of. */
  place: string;
  columns: { date: string; min: string; max: string };
  unit: SensorUnit;
  timeZone: string;
  decimal: '.' | ',';
  delimiter?: string | undefined;
  /** Local hours at which the extremes are thought to fall. */
  minHour?: number | undefined;
  maxHour?: number | undefined;
}

/**
 * Takes a hand-written log of daily minima and maxima in as a curve of estimated readings, 15 min apart, which
 * are shown as estimated. A bad line is told by its number and leaves a gap of that day.
 *
 * @throws AppError when place, columns or hours cannot be: then nothing was stored.
 */
export async function importMinMax(path: string, parts: MinMaxImport): Promise<ImportCount> {
  const { database, farm, clock, progress, timeZone } = parts;
  const channel = channelNamed(farm, parts.place);
  if (channel.quantity !== 'temperature')
    throw new AppError(
      'bad-request',
      `${channel.id} measures ${channel.quantity}; a minimum and maximum log is of temperature.`,
    );
  const count: ImportCount = { lines: 0, added: 0, known: 0, bad: 0, from: null };
  const days = new Map<EpochMs, MinMaxDay & { number: number }>();
  let at: Record<'date' | 'min' | 'max', number> | undefined;
  let delimiter = parts.delimiter ?? ',';

  const degrees = (text: string): number => {
    const value = Number(parts.decimal === ',' ? text.replace(',', '.') : text);
    if (text === '' || !Number.isFinite(value))
      throw new AppError('out-of-range', `'${text.slice(0, 40)}' is no temperature`);
    return toSi(value, parts.unit, 'temperature');
  };
  const dayOf = (cells: readonly string[], columns: NonNullable<typeof at>, number: number): void => {
    const text = (cells[columns.date] ?? '').trim();
    if (!/^\d{4}-\d\d-\d\d$/.test(text))
      throw new AppError('out-of-range', `'${text.slice(0, 40)}' is no date; wanted is 2026-10-01`);
    const start = Temporal.PlainDate.from(text, { overflow: 'reject' }).toZonedDateTime(
      timeZone,
    ).epochMilliseconds;
    if (start > clock.now()) throw new AppError('out-of-range', `the day ${text} lies ahead`);
    const minC = degrees((cells[columns.min] ?? '').trim());
    const maxC = degrees((cells[columns.max] ?? '').trim());
    const before = days.get(start);
    if (before !== undefined && before.minC === minC && before.maxC === maxC) return;
    if (before !== undefined)
      throw new AppError(
        'conflict',
        `line ${before.number} says something else of ${text}; keep one of them`,
      );
    const day = { start, minC, maxC, number };
    // Says what is wrong with a day before it is among the others.
    curveFromMinMax([day], { stepMs: 24 * 3_600_000 });
    days.set(start, day);
  };

  count.lines = await readLines(path, (line, number) => {
    if (line.trim() === '') return;
    if (at === undefined) {
      delimiter = parts.delimiter ?? delimiterOf(line);
      at = columnsOf(cellsOf(line, delimiter), parts.columns);
      return;
    }
    try {
      dayOf(cellsOf(line, delimiter), at, number);
    } catch (thrown) {
      count.bad += 1;
      progress.note(`${path}:${number}: ${messageOf(thrown).replace(/^line \d+ of the [a-z ]+: /, '')}`);
    }
  });
  if (at === undefined) throw new AppError('bad-request', `${path} is empty.`);

  const { minHour, maxHour } = parts;
  const curve = curveFromMinMax([...days.values()], {
    ...(minHour === undefined ? {} : { minHour }),
    ...(maxHour === undefined ? {} : { maxHour }),
  });
  const log = createReadingsLog(database);
  const added = log.append(
    curve
      .filter(({ t }) => t <= clock.now())
      .map(({ t, tempC }) => {
        const whole = Math.round(t);
        return {
          channel: channel.id,
          t: whole,
          value: tempC,
          raw: tempC,
          quality: 'estimated',
          retained: false,
          receivedAt: whole,
        };
      }),
  );
  while (log.settle() > 0);
  count.added = added.length;
  count.known = curve.length - added.length;
  count.from = added.length === 0 ? null : Math.min(...added.map(({ t }) => t));
  progress.end();
  return count;
}

function columnsOf(header: readonly string[], wanted: MinMaxImport['columns']) {
  const names = header.map((name) => name.trim());
  const missing = Object.values(wanted).filter((name) => !names.includes(name));
  if (missing.length > 0)
    throw new AppError(
      'bad-request',
      missing.map((name) => `there is no column '${name}' (found: ${names.join(', ')})`).join('\n'),
    );
  return {
    date: names.indexOf(wanted.date),
    min: names.indexOf(wanted.min),
    max: names.indexOf(wanted.max),
  };
}
