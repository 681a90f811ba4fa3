import type { DerivedQuantity } from '../../../shared/air/derived.ts';
import type { Quantity } from '../../../shared/readings.ts';

export type TemperatureUnit = 'C' | 'F';

/** How a quantity is written on a screen: from SI to what is shown. */
export interface Writing {
  unit: string;
  decimals: number;
  /** A value in SI as the number shown. */
  shown(si: number): number;
  /** A difference or a rate, without the zero point. */
  shownStep(si: number): number;
}

const same = (si: number): number => si;

const celsius: Writing = { unit: '°C', decimals: 1, shown: same, shownStep: same };
const fahrenheit: Writing = {
  unit: '°F',
  decimals: 1,
  shown: (si) => si * 1.8 + 32,
  shownStep: (si) => si * 1.8,
};

/** What a chart may show: what is measured, and what is computed of it. */
export type Shown = Quantity | DerivedQuantity;

const fixed: Record<Exclude<Shown, 'temperature' | 'probe-temperature' | 'dew-point'>, Writing> = {
  humidity: { unit: '%', decimals: 0, shown: same, shownStep: same },
  co2: { unit: 'ppm', decimals: 0, shown: same, shownStep: same },
  pressure: { unit: 'hPa', decimals: 1, shown: (si) => si / 100, shownStep: (si) => si / 100 },
  battery: { unit: '%', decimals: 0, shown: same, shownStep: same },
  'cooler-on': { unit: '%', decimals: 0, shown: same, shownStep: same },
  vpd: { unit: 'kPa', decimals: 2, shown: same, shownStep: same },
  'moisture-ratio': { unit: 'g/kg', decimals: 1, shown: same, shownStep: same },
};

export function writingOf(quantity: Shown, temperature: TemperatureUnit): Writing {
  if (quantity === 'temperature' || quantity === 'probe-temperature' || quantity === 'dew-point')
    return temperature === 'F' ? fahrenheit : celsius;
  return fixed[quantity];
}

/** A number with the true minus sign and fixed decimals; never `−0.0`. */
export function numberOf(value: number, decimals: number): string {
  const digits = Math.abs(value).toFixed(decimals);
  return value < 0 && Number(digits) !== 0 ? `−${digits}` : digits;
}

/** A limit: no decimals when it is whole. */
export function limitOf(si: number, writing: Writing): string {
  const shown = writing.shown(si);
  const rounded = Math.round(shown * 10) / 10;
  return numberOf(rounded, Number.isInteger(rounded) ? 0 : 1);
}

/** `24.6 °C`, which no end of a line parts. */
export const withUnit = (number: string, unit: string): string => `${number}\u00a0${unit}`;

/** `24.6 °C` */
export const written = (si: number, writing: Writing): string =>
  withUnit(numberOf(writing.shown(si), writing.decimals), writing.unit);

/** A limit with its unit: `28 °C`. */
export const limitWritten = (si: number, writing: Writing): string =>
  withUnit(limitOf(si, writing), writing.unit);

/** In whole units: `62 °C`. */
export const wholeWritten = (si: number, writing: Writing): string =>
  withUnit(numberOf(writing.shown(si), 0), writing.unit);

/** `42 %` from a share 0-1. */
export const percentOf = (share: number): string => withUnit(String(Math.round(share * 100)), '%');

/** Per hour below which a trend is called steady: °C, % humidity, ppm, Pa, % charge. */
const steadyBelow: Record<Quantity, number> = {
  temperature: 0.3,
  'probe-temperature': 0.3,
  humidity: 1.5,
  co2: 40,
  pressure: 100,
  battery: 1,
  // It is on or off: nothing that rises.
  'cooler-on': Number.POSITIVE_INFINITY,
};

export type TrendWay = 'rising' | 'falling' | 'steady';

export function trendWay(quantity: Quantity, perHour: number): TrendWay {
  if (Math.abs(perHour) < steadyBelow[quantity]) return 'steady';
  return perHour > 0 ? 'rising' : 'falling';
}

/** Steps of temperature, which have no zero point to move: `1.4 K`, `2 °C/h`. */
const steps = new Map([
  [' K', '°F'],
  [' °C/h', '°F/h'],
]);

/** Numbers that keep their units beside them, and bare limits the word before them. */
const unparted = (sentence: string): string =>
  sentence.replace(
    /(\d) (?=°[CF]|%|(?:K|ppm|hPa|k?W|min|h|kg)(?![\w/]))|(\blimit) (?=[-−]?\d)/g,
    '$1$2\u00a0',
  );

/**
 * A sentence of the server, in this screen's unit. The server writes °C, K for a difference and, for a
 * temperature, a bare limit: `Warm room too warm: 29.6 °C, limit 28`. No end of a line parts number and unit.
 */
export function inScreenUnit(sentence: string, temperature: TemperatureUnit): string {
  if (temperature === 'C') return unparted(sentence);
  const hasBareLimits = sentence.includes('°C');
  const convert = (number: string) => {
    const shown = fahrenheit.shown(Number(number.replace('−', '-')));
    return numberOf(shown, number.includes('.') || !Number.isInteger(Math.round(shown * 10) / 10) ? 1 : 0);
  };
  const inFahrenheit = sentence.replace(
    /(limit )?([-−]?\d+(?:\.\d+)?)( °C\/h| °C| K(?![\w/]))?/g,
    (all, limit: string | undefined, number: string, unit: string | undefined) => {
      const step = steps.get(unit ?? '');
      if (step !== undefined)
        return `${limit ?? ''}${numberOf(fahrenheit.shownStep(Number(number.replace('−', '-'))), 1)} ${step}`;
      if (unit === undefined && (limit === undefined || !hasBareLimits)) return all;
      return `${limit ?? ''}${convert(number)}${unit === undefined ? '' : ' °F'}`;
    },
  );
  return unparted(inFahrenheit);
}
