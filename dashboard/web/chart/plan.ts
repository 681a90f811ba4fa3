import type { EpochMs } from '../../../shared/time.ts';

/** One line of a chart, with its band where it has one. Values are as shown, already in the screen's unit. */
export interface ChartLine {
  label: string;
  /** Name of its scale. */
  scale: string;
  values: (number | null)[];
  /** Lower and upper edge of the band; both or neither. */
  band: { low: (number | null)[]; high: (number | null)[] } | null;
  /** Which of the four hands it is drawn in; the first is the plain line. */
  hand: 0 | 1 | 2 | 3;
}

export interface ChartScale {
  unit: string;
  decimals: number;
  side: 'left' | 'right';
  /** Fixed ends; otherwise the ends follow the values. */
  range: [number, number] | null;
  /** Part of the height that it leaves free at the foot, where something else is drawn; none unless given. */
  foot?: number;
  /** Where its axis has numbers; as they come unless given. */
  marks?: number[];
  /** Values that should be seen even when no line comes near. */
  include: number[];
}

/** A tick under the axis: something happened. */
export interface ChartTick {
  t: EpochMs;
  kind: 'event' | 'alarm';
}

/** Everything a chart shows, apart from how it is drawn. */
export interface ChartPlan {
  zone: string;
  from: EpochMs;
  to: EpochMs;
  x: EpochMs[];
  lines: ChartLine[];
  scales: Record<string, ChartScale>;
  /** Hairlines with their number at the edge, where their scale stands unless `atRight`; a strong one is what is being tried. */
  limits: { scale: string; value: number; text: string; strong?: boolean; atRight?: boolean }[];
  /** Rows along the top that say when something was so: `held` filled, `tried` hatched. */
  strips: {
    label: string;
    kind: 'held' | 'tried';
    spans: readonly (readonly [from: EpochMs, to: EpochMs])[];
  }[];
  ticks: ChartTick[];
  /** A hairline through the whole height, with a word. */
  moments: { t: EpochMs; text: string }[];
  /** What a person saw. */
  points: { t: EpochMs; value: number; scale: string }[];
  /** An interval of time at a height: earliest, likely, latest. */
  spans: { from: EpochMs; likely: EpochMs; to: EpochMs; scale: string; value: number }[];
}

export const emptyPlan = (zone: string, from: EpochMs, to: EpochMs): ChartPlan => ({
  zone,
  from,
  to,
  x: [],
  lines: [],
  scales: {},
  limits: [],
  strips: [],
  ticks: [],
  moments: [],
  points: [],
  spans: [],
});
