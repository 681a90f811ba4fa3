/** What a limit may be set on: quantities that sensors measure, and what is computed from them. */
export type Measure =
  | 'temperature'
  | 'probe-temperature'
  | 'humidity'
  | 'co2'
  | 'pressure'
  | 'battery'
  | 'dew-point'
  | 'vpd'
  /** Computed core temperature of the bags. */
  | 'core';

export type Side = 'low-low' | 'low' | 'high' | 'high-high';

interface MeasureFacts {
  unit: string;
  digits: number;
  words: Record<Side, string>;
  /** The step that common sensors resolve and jitter by: the smallest sensible deadband. */
  resolution: number;
  /** Span in which it normally runs, where a farm gives only one limit. */
  usualRange: number;
}

const sides = (what: string): Record<Side, string> => ({
  'low-low': `${what} far too low`,
  low: `${what} too low`,
  high: `${what} too high`,
  'high-high': `${what} far too high`,
});
const warmth = (what: string): Record<Side, string> => ({
  'low-low': `${what}far too cold`,
  low: `${what}too cold`,
  high: `${what}too warm`,
  'high-high': `${what}far too warm`,
});

const facts: Record<Measure, MeasureFacts> = {
  temperature: { unit: ' °C', digits: 1, words: warmth(''), resolution: 0.1, usualRange: 20 },
  'probe-temperature': { unit: ' °C', digits: 1, words: warmth('probe '), resolution: 0.1, usualRange: 20 },
  core: { unit: ' °C', digits: 1, words: warmth('bag cores '), resolution: 0.2, usualRange: 20 },
  'dew-point': { unit: ' °C', digits: 1, words: sides('dew point'), resolution: 0.3, usualRange: 20 },
  humidity: {
    unit: ' %',
    digits: 0,
    words: { 'low-low': 'far too dry', low: 'too dry', high: 'too damp', 'high-high': 'far too damp' },
    resolution: 1,
    usualRange: 50,
  },
  vpd: {
    unit: ' kPa',
    digits: 2,
    words: {
      'low-low': 'air nearly saturated',
      low: 'air hardly takes up water',
      high: 'air draws much water',
      'high-high': 'air draws far too much water',
    },
    resolution: 0.03,
    usualRange: 2,
  },
  co2: { unit: ' ppm', digits: 0, words: sides('CO₂'), resolution: 25, usualRange: 2000 },
  pressure: { unit: ' Pa', digits: 0, words: sides('pressure'), resolution: 2, usualRange: 200 },
  battery: {
    unit: ' %',
    digits: 0,
    words: { ...sides('battery'), low: 'battery low', 'low-low': 'battery nearly empty' },
    resolution: 2,
    usualRange: 100,
  },
};

export const factsOf = (measure: Measure): MeasureFacts => facts[measure];

/** A number as a person reads it, with its unit: `29.6 °C`. */
export const spoken = (measure: Measure, value: number): string =>
  `${value.toFixed(facts[measure].digits)}${facts[measure].unit}`;

/** A difference of temperatures as a person reads it: `1.4 K`. */
export const spokenStep = (stepK: number): string => `${stepK.toFixed(facts.temperature.digits)} K`;

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
