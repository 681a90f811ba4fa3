import type { LimitChange, LimitedBand } from '../../../shared/tuning.ts';
import type { TemperatureUnit } from '../format/value.ts';

/** Fields of a band that are numbers a person may change, in the order of a form. */
export const numberFields = [
  'highHigh',
  'high',
  'low',
  'lowLow',
  'deadband',
  'onDelayS',
  'offDelayS',
  'risePerH',
  'fallPerH',
] as const;
export type NumberField = (typeof numberFields)[number];
/** Priority is `1`, `2`, `3`, or empty for what is usual. */
export type Draft = Record<NumberField | 'priority', string>;

/** Fields that a band may have: cores follow the air by hours, so that a rate of theirs says nothing. */
export const fieldsOf = ({ measure }: Pick<LimitedBand, 'measure'>): readonly NumberField[] =>
  measure === 'core' ? numberFields.filter((field) => !field.endsWith('PerH')) : numberFields;

const levels: ReadonlySet<NumberField> = new Set(['highHigh', 'high', 'low', 'lowLow']);

/** Levels move with the zero point of the unit, a deadband only with its step, a delay not at all. */
function inUnit(field: NumberField, si: number, fahrenheit: boolean): number {
  if (!fahrenheit || field.endsWith('DelayS')) return si;
  return levels.has(field) ? si * 1.8 + 32 : si * 1.8;
}
function inSi(field: NumberField, shown: number, fahrenheit: boolean): number {
  if (!fahrenheit || field.endsWith('DelayS')) return shown;
  return levels.has(field) ? (shown - 32) / 1.8 : shown / 1.8;
}

const isFahrenheit = ({ unit }: Pick<LimitedBand, 'unit'>, temperature: TemperatureUnit): boolean =>
  unit === '°C' && temperature === 'F';

/** What the farm file says of a band, as a form shows it; empty where a default holds. */
export function draftOf(band: LimitedBand, temperature: TemperatureUnit): Draft {
  const fahrenheit = isFahrenheit(band, temperature);
  const words = (field: NumberField): string => {
    const si = band.written[field];
    return si === undefined || si === null ? '' : String(round(inUnit(field, si, fahrenheit)));
  };
  const numbers = Object.fromEntries(numberFields.map((field) => [field, words(field)]));
  return { ...numbers, priority: String(band.written.priority ?? '') } as Draft;
}

/** What holds where nothing is written, as a form shows it in an empty field; null: no such limit. */
export function defaultOf(
  band: LimitedBand,
  field: NumberField,
  temperature: TemperatureUnit,
): string | null {
  const si = band.holds[field];
  return si === null ? null : String(round(inUnit(field, si, isFahrenheit(band, temperature))));
}

/** Only what differs from the farm file, in SI; or which field is no number. */
export function changeOf(
  band: LimitedBand,
  draft: Draft,
  temperature: TemperatureUnit,
): { ok: true; set: LimitChange } | { ok: false; field: NumberField } {
  const before = draftOf(band, temperature);
  const set: LimitChange = {};
  for (const field of numberFields) {
    const words = draft[field].trim().replace(',', '.').replace('−', '-');
    if (words === before[field]) continue;
    if (words === '') set[field] = null;
    else if (!Number.isFinite(Number(words))) return { ok: false, field };
    else set[field] = round(inSi(field, Number(words), isFahrenheit(band, temperature)));
  }
  const { priority } = draft;
  if (priority !== before.priority)
    set.priority = priority === '' ? null : (Number(priority) as NonNullable<LimitChange['priority']>);
  return { ok: true, set };
}

/** Far finer than any sensor, and free of the noise of converting there and back. */
const round = (value: number): number => Math.round(value * 1_000) / 1_000;
