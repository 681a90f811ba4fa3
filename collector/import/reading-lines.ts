import { AppError, messageOf } from '../../shared/errors.ts';
import type { Channel, Farm } from '../../shared/farm/farm.ts';
import type { SensorUnit } from '../../shared/farm/schema.ts';
import type { Quantity, Reading } from '../../shared/readings.ts';
import type { EpochMs } from '../../shared/time.ts';
import { toSi, unitsOf } from '../../shared/units/convert.ts';
import { stateOf } from '../intake/decoders/text.ts';
import { createChannelRule } from '../intake/validate.ts';
import { channelNamed } from './channel-named.ts';
import { createInstantReader, type TimeFormat } from './instants.ts';

/** What the columns of a readings file mean. */
export interface ReadingsLayout {
  time: string;
  /** Column of the date, where `time` holds the time of day only. */
  date?: string | undefined;
  timeFormat: TimeFormat;
  timeZone: string;
  /** Columns of values, each of one place; a place is a channel, sensor, shelf or room. */
  values: readonly { column: string; place: string; unit?: SensorUnit | undefined }[];
  /** Instead: a column that names the place of each line, and one that holds the value. */
  by?:
    | { place: string; value: string; quantity?: Quantity | undefined; unit?: SensorUnit | undefined }
    | undefined;
  /** Sign before the decimals. */
  decimal: '.' | ',';
  /** Values are corrected already: the farm file's calibrations are left out. */
  corrected: boolean;
}

/** Takes the cells of one line, adds its readings to `into`, and tells what is wrong with it, if anything. */
export type ReadLine = (cells: readonly string[], into: Reading[]) => string | undefined;

type ReadValue = (text: string, t: EpochMs) => Reading;

/** Straight line from SI back to a unit; every unit but a cell's volts and a cooler's power is one. */
function fromSi(unit: SensorUnit, quantity: Quantity): (value: number) => number {
  const zero = toSi(0, unit, quantity);
  const one = toSi(1, unit, quantity);
  return (value) => (value - zero) / (one - zero);
}

function valueReader(channel: Channel, unit: SensorUnit | undefined, layout: ReadingsLayout): ReadValue {
  const { quantity, spec } = channel;
  if (unit !== undefined && !unitsOf(quantity).includes(unit))
    throw new AppError(
      'bad-request',
      `${channel.id} cannot be in ${unit}; give one of ${unitsOf(quantity).join(', ')}.`,
    );
  if (quantity === 'cooler-on') return coolerReader(channel, unit ?? spec.unit, layout);
  const written = unit ?? spec.unit;
  const calibration = layout.corrected ? [] : spec.calibration;
  const rule = createChannelRule({ ...channel, spec: { ...spec, calibration } }, layout.timeZone);
  // Calibrations are in the unit that the sensor sends.
  const back = written === spec.unit ? undefined : fromSi(spec.unit, quantity);
  return (text, t) => {
    const number = layout.decimal === ',' ? text.replace(',', '.') : text;
    const value = Number(number);
    if (text === '' || !Number.isFinite(value))
      throw new AppError('out-of-range', `'${text.slice(0, 40)}' is no number for ${channel.id}`);
    const sent = back === undefined ? value : back(toSi(value, written, quantity));
    const reading = rule.read(sent, t, t, false);
    if (reading === undefined)
      throw new AppError(
        'out-of-range',
        `${text} is what a failed sensor says, so ${channel.id} gets no reading`,
      );
    return reading;
  };
}

/** A cooler's on and off; in another unit than its sensor sends, its calibrations say nothing. */
function coolerReader(channel: Channel, unit: SensorUnit, layout: ReadingsLayout): ReadValue {
  const { spec } = channel;
  if (unit === 'W' && spec.onAboveW === undefined)
    throw new AppError(
      'bad-request',
      `${channel.id} has no onAboveW in the farm file, so a power does not tell whether it is on; give another unit.`,
    );
  const calibration = layout.corrected || unit !== spec.unit ? [] : spec.calibration;
  const rule = createChannelRule({ ...channel, spec: { ...spec, unit, calibration } }, layout.timeZone);
  return (text, t) => {
    const number = layout.decimal === ',' ? text.replace(',', '.') : text;
    const value = unit === 'state' ? stateOf(text) : text === '' ? undefined : Number(number);
    if (value === undefined || !Number.isFinite(value))
      throw new AppError(
        'out-of-range',
        unit === 'state'
          ? `'${text.slice(0, 40)}' is no state for ${channel.id}: ON or OFF, true or false, 1 or 0`
          : `'${text.slice(0, 40)}' is no number for ${channel.id}`,
      );
    return rule.read(value, t, t, false)!;
  };
}

/**
 * Works out once what a file's header and its layout mean.
 *
 * @throws AppError 'bad-request', 'not-found' or 'conflict' that lists every column and place that is wrong.
 */
export function createReadLine(
  farm: Farm,
  layout: ReadingsLayout,
  header: readonly string[],
  now: EpochMs,
): ReadLine {
  const names = header.map((name) => name.trim());
  const problems: string[] = [];
  const columnOf = (name: string): number => {
    const at = names.indexOf(name);
    if (at < 0) problems.push(`there is no column '${name}' (found: ${names.join(', ')})`);
    return at;
  };
  const tried = <T>(work: () => T): T | undefined => {
    try {
      return work();
    } catch (thrown) {
      problems.push(messageOf(thrown));
      return undefined;
    }
  };

  const timeAt = columnOf(layout.time);
  const dateAt = layout.date === undefined ? -1 : columnOf(layout.date);
  const fixed = layout.values.map(({ column, place, unit }) => ({
    at: columnOf(column),
    read: tried(() => valueReader(channelNamed(farm, place), unit, layout)),
  }));
  const { by } = layout;
  const placeAt = by === undefined ? -1 : columnOf(by.place);
  const valueAt = by === undefined ? -1 : columnOf(by.value);
  if (problems.length > 0) throw new AppError('bad-request', problems.join('\n'));

  const instant = createInstantReader(layout.timeFormat, layout.timeZone, now);
  const readers = new Map<string, ReadValue>();
  const readerOf = (place: string): ReadValue => {
    const found = readers.get(place);
    if (found !== undefined) return found;
    const reader = valueReader(channelNamed(farm, place, by!.quantity), by!.unit, layout);
    readers.set(place, reader);
    return reader;
  };
  const cell = (cells: readonly string[], at: number): string => (cells[at] ?? '').trim();

  return (cells, into) => {
    try {
      const time = cell(cells, timeAt);
      const t = instant(dateAt < 0 ? time : `${cell(cells, dateAt)}T${time}`);
      if (by !== undefined) into.push(readerOf(cell(cells, placeAt))(cell(cells, valueAt), t));
      const wrong: string[] = [];
      for (const { at, read } of fixed) {
        const text = cell(cells, at);
        // An empty cell is a value that was not taken.
        if (text === '') continue;
        try {
          into.push(read!(text, t));
        } catch (thrown) {
          wrong.push(messageOf(thrown));
        }
      }
      return wrong.length > 0 ? wrong.join('; ') : undefined;
    } catch (thrown) {
      return messageOf(thrown);
    }
  };
}
