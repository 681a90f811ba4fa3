import { AppError } from '../../shared/errors.ts';
import { type SensorUnit, sensorUnit } from '../../shared/farm/schema.ts';
import { quantity } from '../../shared/readings.ts';
import { timeFormats } from './instants.ts';
import type { ReadingsLayout } from './reading-lines.ts';

/** Options of the command line as given; a list where an option may come more than once. */
export type Given = Record<string, string | boolean | string[] | undefined>;

const textOf = (given: Given, name: string): string | undefined => {
  const value = given[name];
  return typeof value === 'string' ? value : undefined;
};

/** @throws AppError 'bad-request' unless the option is one of `allowed`. */
export function oneOf<T extends string>(given: Given, name: string, allowed: readonly T[], fallback: T): T {
  const value = textOf(given, name) ?? fallback;
  if (allowed.includes(value as T)) return value as T;
  throw new AppError('bad-request', `--${name} ${value} is not one of ${allowed.join(', ')}.`);
}

export function unitOf(word: string, where: string): SensorUnit {
  const unit = sensorUnit.safeParse(word);
  if (unit.success) return unit.data;
  throw new AppError(
    'bad-request',
    `${where}: there is no unit '${word}'; give one of ${sensorUnit.options.join(', ')}.`,
  );
}

/** @throws AppError 'bad-request' for a zone that nobody knows. */
export function zoneOf(given: Given, siteZone: string): string {
  const zone = textOf(given, 'zone') ?? siteZone;
  try {
    new Intl.DateTimeFormat('en', { timeZone: zone });
    return zone;
  } catch (cause) {
    throw new AppError(
      'bad-request',
      `--zone ${zone} is no time zone; give one such as Europe/Vienna or UTC.`,
      { cause },
    );
  }
}

/** `COLUMN=PLACE` or `COLUMN=PLACE:UNIT`. */
function valueColumn(word: string): ReadingsLayout['values'][number] {
  const equals = word.lastIndexOf('=');
  const [place = '', unit] = word.slice(equals + 1).split(':');
  if (equals < 1 || place === '')
    throw new AppError(
      'bad-request',
      `--value ${word} is not COLUMN=PLACE or COLUMN=PLACE:UNIT, such as temp=B2:degF; with --by it names the column alone.`,
    );
  return {
    column: word.slice(0, equals),
    place,
    unit: unit === undefined ? undefined : unitOf(unit, `--value ${word}`),
  };
}

/** What `import readings` was told of its file. @throws AppError 'bad-request' with what to write instead. */
export function layoutOf(given: Given, siteZone: string): ReadingsLayout {
  const values = Array.isArray(given.value) ? given.value : [];
  const by = textOf(given, 'by');
  if (by !== undefined && values.length > 1)
    throw new AppError('bad-request', 'With --by there is one --value, the column that holds the value.');
  if (by === undefined && values.length === 0)
    throw new AppError(
      'bad-request',
      'Say which column is of which place with --value COLUMN=PLACE, or which column names the place with --by COLUMN.',
    );
  const unit = textOf(given, 'unit');
  const wanted = textOf(given, 'quantity');
  return {
    time: textOf(given, 'time') ?? 'time',
    date: textOf(given, 'date'),
    timeFormat: oneOf(given, 'time-format', timeFormats, 'auto'),
    timeZone: zoneOf(given, siteZone),
    values: by === undefined ? values.map(valueColumn) : [],
    by:
      by === undefined
        ? undefined
        : {
            place: by,
            value: values[0] ?? 'value',
            quantity:
              wanted === undefined ? undefined : oneOf(given, 'quantity', quantity.options, 'temperature'),
            unit: unit === undefined ? undefined : unitOf(unit, '--unit'),
          },
    decimal: oneOf(given, 'decimal', ['.', ','] as const, '.'),
    corrected: given.corrected === true,
  };
}
