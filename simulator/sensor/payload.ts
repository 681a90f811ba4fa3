import { AppError } from '../../shared/errors.ts';
import type { Sensor, SensorUnit } from '../../shared/farm/schema.ts';
import type { EpochMs } from '../../shared/time.ts';
import type { SensorTraits } from './traits.ts';

/** A value of SI units in the unit that the sensor speaks; volts stand for a share of a 3 V cell. */
export function inUnit(value: number, unit: SensorUnit): number {
  switch (unit) {
    case 'degF':
      return value * 1.8 + 32;
    case 'K':
      return value + 273.15;
    case 'fraction':
      return value / 100;
    case 'hPa':
      return value / 100;
    case 'V':
      return 2.2 + 0.008 * value;
    default:
      return value;
  }
}

type Tree = Record<string, unknown> | unknown[];

const isIndex = (token: string) => /^\d+$/.test(token);

/** Puts `value` where an RFC 6901 pointer looks for it, making what is missing on the way. */
function put(tree: Tree, pointer: string, value: unknown): void {
  const tokens = pointer
    .split('/')
    .slice(1)
    .map((token) => token.replaceAll('~1', '/').replaceAll('~0', '~'));
  if (tokens.length === 0)
    throw new AppError('farm-file', `A simulated JSON sensor needs a pointer such as /t, not '${pointer}'.`);
  let at = tree as Record<string, unknown>;
  tokens.forEach((token, i) => {
    const next = tokens[i + 1];
    if (next === undefined) at[token] = value;
    else {
      at[token] ??= isIndex(next) ? [] : {};
      at = at[token] as Record<string, unknown>;
    }
  });
}

const told = (t: EpochMs, format: SensorTraits['timeFormat']) =>
  format === 'iso' ? new Date(t).toISOString() : format === 'seconds' ? Math.floor(t / 1000) : t;

const short = (value: number) => Number(value.toFixed(4));

/** The payload of one sending; `values` are by channel, already in the sensor's unit. */
export function encode(
  sensor: Sensor,
  values: readonly number[],
  measuredAt: EpochMs,
  format: SensorTraits['timeFormat'],
): string {
  const said = sensor.channels.map(({ unit }, i) => (unit === 'state' ? values[i] === 1 : short(values[i]!)));
  if (sensor.decoder === 'plain') {
    const [only] = said;
    return typeof only === 'boolean' ? (only ? 'ON' : 'OFF') : String(only);
  }
  const tree: Tree = {};
  sensor.channels.forEach((channel, i) => {
    put(tree, channel.pointer ?? '', said[i]);
  });
  if (sensor.timePointer !== undefined) put(tree, sensor.timePointer, told(measuredAt, format));
  return JSON.stringify(tree);
}
