import type { Quantity } from '../shared/readings.ts';

/** Kinds of condition, as they begin an alarm's id. */
export type ConditionName = 'low-low' | 'low' | 'high' | 'high-high' | 'silent' | 'system';

type Beyond = Record<'low-low' | 'low' | 'high' | 'high-high', string>;

const beyondWords: Record<Quantity, Beyond> = {
  temperature: { 'low-low': 'far too cold', low: 'too cold', high: 'too warm', 'high-high': 'far too warm' },
  'probe-temperature': {
    'low-low': 'core far too cold',
    low: 'core too cold',
    high: 'core too warm',
    'high-high': 'core far too warm',
  },
  humidity: { 'low-low': 'far too dry', low: 'too dry', high: 'too damp', 'high-high': 'far too damp' },
  co2: {
    'low-low': 'CO₂ far too low',
    low: 'CO₂ too low',
    high: 'CO₂ too high',
    'high-high': 'CO₂ far too high',
  },
  pressure: {
    'low-low': 'pressure far too low',
    low: 'pressure too low',
    high: 'pressure too high',
    'high-high': 'pressure far too high',
  },
  battery: {
    'low-low': 'battery nearly empty',
    low: 'battery low',
    high: 'battery reads too high',
    'high-high': 'battery reads far too high',
  },
};

const unitSigns: Record<Quantity, string> = {
  temperature: ' °C',
  'probe-temperature': ' °C',
  humidity: ' %',
  co2: ' ppm',
  pressure: ' Pa',
  battery: ' %',
};

const digits: Record<Quantity, number> = {
  temperature: 1,
  'probe-temperature': 1,
  humidity: 0,
  co2: 0,
  pressure: 0,
  battery: 0,
};

/** A number as a person reads it, with its unit: `29.6 °C`. */
export const spoken = (quantity: Quantity, value: number): string =>
  `${value.toFixed(digits[quantity])}${unitSigns[quantity]}`;

/** `Warm room too warm: 29.6 °C, limit 28`; with `at` a shelf of it: `Warm room, shelf A3 too warm: ...`. */
export function limitTitle(
  place: string,
  at: string | null,
  quantity: Quantity,
  condition: keyof Beyond,
  value: number | null,
  limit: number,
): string {
  const where = at === null ? place : `${place}, shelf ${at}`;
  const what = `${where} ${beyondWords[quantity][condition]}`;
  return value === null
    ? `${what}: limit ${limit}${unitSigns[quantity]}`
    : `${what}: ${spoken(quantity, value)}, limit ${limit}`;
}

/** `Warm room back in limits: 27.4 °C, limit 28, reached 29.6`. */
export function backInLimitsTitle(
  place: string,
  quantity: Quantity,
  value: number | null,
  limit: number,
  peak: number | null,
): string {
  const reached = peak === null ? '' : `, reached ${peak.toFixed(digits[quantity])}`;
  const now = value === null ? '' : `${spoken(quantity, value)}, `;
  return `${place} back in limits: ${now}limit ${limit}${reached}`;
}

/** A span in the words a person would use: `45 s`, `12 min`, `2 h 10 min`, `3 d 4 h`. */
export function spokenSpan(ms: number): string {
  const seconds = Math.round(ms / 1000);
  if (seconds < 120) return `${seconds} s`;
  const minutes = Math.round(seconds / 60);
  if (minutes < 120) return `${minutes} min`;
  const hours = Math.floor(minutes / 60);
  if (hours < 48) return minutes % 60 === 0 ? `${hours} h` : `${hours} h ${minutes % 60} min`;
  const days = Math.floor(hours / 24);
  return hours % 24 === 0 ? `${days} d` : `${days} d ${hours % 24} h`;
}
