import type { TimedLevels, Weekday } from '../../../shared/farm/limits-schema.ts';
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
  'reAlarmMin',
  'shelveCapMin',
] as const;
export type NumberField = (typeof numberFields)[number];
export const levelFields = ['highHigh', 'high', 'low', 'lowLow'] as const;
type LevelField = (typeof levelFields)[number];
/** Other levels at a time of day, as a form has them. */
export interface SpanDraft extends Record<LevelField | 'from' | 'to', string> {
  /** None: every day. */
  days: readonly Weekday[];
}
/** Priority is `1`, `2`, `3`, or empty for what is usual. */
export interface Draft extends Record<NumberField | 'priority', string> {
  /** Whether an acknowledged alarm stays silent for good, whatever `reAlarmMin` says. */
  neverAgain: boolean;
  during: readonly SpanDraft[];
}
/**
 * What cannot be read: a field of the band, or one of a time of day; or what can, and does not lie above the level
 * `over`.
 */
export type Unread =
  | { field: NumberField; span?: undefined; over?: LevelField }
  | { field: LevelField | 'from' | 'to'; span: number };

/** Fields that a band may have: cores follow the air by hours, so that a rate of theirs says nothing. */
export const fieldsOf = ({ measure }: Pick<LimitedBand, 'measure'>): readonly NumberField[] =>
  measure === 'core' ? numberFields.filter((field) => !field.endsWith('PerH')) : numberFields;

const levels: ReadonlySet<NumberField> = new Set(levelFields);
const isTime = (field: NumberField): boolean => /DelayS$|Min$/.test(field);

/** Levels move with the zero point of the unit, a deadband only with its step, a time not at all. */
function inUnit(field: NumberField, si: number, fahrenheit: boolean): number {
  if (!fahrenheit || isTime(field)) return si;
  return levels.has(field) ? si * 1.8 + 32 : si * 1.8;
}
function inSi(field: NumberField, shown: number, fahrenheit: boolean): number {
  if (!fahrenheit || isTime(field)) return shown;
  return levels.has(field) ? (shown - 32) / 1.8 : shown / 1.8;
}

const isFahrenheit = ({ unit }: Pick<LimitedBand, 'unit'>, temperature: TemperatureUnit): boolean =>
  unit === '°C' && temperature === 'F';

/** What the farm file says of a band, as a form shows it; empty where a default holds. */
export function draftOf(band: LimitedBand, temperature: TemperatureUnit): Draft {
  const fahrenheit = isFahrenheit(band, temperature);
  const words = (field: NumberField): string => {
    const si = band.written[field];
    return typeof si === 'number' ? String(round(inUnit(field, si, fahrenheit))) : '';
  };
  const numbers = Object.fromEntries(numberFields.map((field) => [field, words(field)]));
  return {
    ...(numbers as Record<NumberField, string>),
    priority: String(band.written.priority ?? ''),
    neverAgain: band.written.reAlarmMin === false,
    during: (band.written.during ?? []).map((span) => spanDraftOf(span, fahrenheit)),
  };
}

function spanDraftOf({ days = [], from, to, ...given }: TimedLevels, fahrenheit: boolean): SpanDraft {
  const word = (level: LevelField) => {
    const si = given[level];
    return si === undefined ? '' : String(round(inUnit(level, si, fahrenheit)));
  };
  const words = Object.fromEntries(levelFields.map((level) => [level, word(level)]));
  return { ...(words as Record<LevelField, string>), days, from, to };
}

export const emptySpan: SpanDraft = {
  days: [],
  from: '',
  to: '',
  highHigh: '',
  high: '',
  low: '',
  lowLow: '',
};

/** Times of day of its room, which hold for a shelf that has none written. */
export const heldSpans = (band: LimitedBand, temperature: TemperatureUnit): SpanDraft[] =>
  band.written.during
    ? []
    : band.holds.during.map((span) => spanDraftOf(span, isFahrenheit(band, temperature)));

/** What holds where nothing is written, as a form shows it in an empty field; null: no such limit. */
export function defaultOf(
  band: LimitedBand,
  field: NumberField,
  temperature: TemperatureUnit,
): string | null {
  const si = band.holds[field];
  return typeof si === 'number' ? String(round(inUnit(field, si, isFahrenheit(band, temperature)))) : null;
}

/** Only what differs from the farm file, in SI; or what cannot be read. */
export function changeOf(
  band: LimitedBand,
  draft: Draft,
  temperature: TemperatureUnit,
): { ok: true; set: LimitChange } | ({ ok: false } & Unread) {
  const before = draftOf(band, temperature);
  const fahrenheit = isFahrenheit(band, temperature);
  const set: LimitChange = {};
  for (const field of numberFields) {
    if (field === 'reAlarmMin' && draft.neverAgain) continue;
    const words = plain(draft[field]);
    if (words === before[field]) continue;
    if (words === '') set[field] = null;
    else if (!Number.isFinite(Number(words))) return { ok: false, field };
    else set[field] = round(inSi(field, Number(words), fahrenheit));
  }
  const crossed = crossedIn(band, set);
  if (crossed !== null) return { ok: false, ...crossed };
  if (draft.neverAgain !== before.neverAgain)
    set.reAlarmMin = draft.neverAgain ? false : (set.reAlarmMin ?? null);
  const { priority } = draft;
  if (priority !== before.priority)
    set.priority = priority === '' ? null : (Number(priority) as NonNullable<LimitChange['priority']>);
  if (JSON.stringify(draft.during) === JSON.stringify(before.during)) return { ok: true, set };
  const during: TimedLevels[] = [];
  for (const [span, one] of draft.during.entries()) {
    const read = spanOf(one, fahrenheit);
    if (typeof read === 'string') return { ok: false, field: read, span };
    during.push(read);
  }
  return { ok: true, set: { ...set, during: during.length === 0 ? null : during } };
}

/** A level that would not lie above the next one, where a change makes it so; null where all do. */
function crossedIn(band: LimitedBand, set: LimitChange): { field: LevelField; over: LevelField } | null {
  const held = levelFields.flatMap((field) => {
    const si = set[field] === undefined ? band.holds[field] : set[field];
    return typeof si === 'number' ? [{ field, si }] : [];
  });
  const at = held.findIndex(({ field, si }, place) => {
    const next = held[place + 1];
    return next !== undefined && si <= next.si && (field in set || next.field in set);
  });
  return at < 0 ? null : { field: held[at]!.field, over: held[at + 1]!.field };
}

/** A time of day in SI, or which of its fields cannot be read. */
function spanOf(draft: SpanDraft, fahrenheit: boolean): TimedLevels | LevelField | 'from' | 'to' {
  const read: TimedLevels = { from: clockOf(draft.from), to: clockOf(draft.to) };
  for (const end of ['from', 'to'] as const) if (read[end] === '') return end;
  if (draft.days.length > 0) read.days = [...draft.days];
  for (const level of levelFields) {
    const words = plain(draft[level]);
    if (words === '') continue;
    if (!Number.isFinite(Number(words))) return level;
    read[level] = round(inSi(level, Number(words), fahrenheit));
  }
  return read;
}

const plain = (words: string): string => words.trim().replace(',', '.').replace('−', '-');

/** `6:30` and `06.30` as `06:30`; empty where it is no time of day. */
function clockOf(words: string): string {
  const [, hours, minutes] = /^(\d{1,2})[:.](\d{2})$/.exec(words.trim()) ?? [];
  if (hours === undefined || minutes === undefined || Number(minutes) > 59) return '';
  const atMost24 = Number(hours) < 24 || (Number(hours) === 24 && Number(minutes) === 0);
  return atMost24 ? `${hours.padStart(2, '0')}:${minutes}` : '';
}

/** Far finer than any sensor, and free of the noise of converting there and back. */
const round = (value: number): number => Math.round(value * 1_000) / 1_000;
