import type uPlot from 'uplot';
import { numberOf, withUnit } from '../format/value.ts';
import { drawOver, stripRowPx } from './draw.ts';
import { lonePoints } from './gaps.ts';
import type { ChartPlan, ChartScale } from './plan.ts';
import { type ChartTheme, dashes } from './theme.ts';
import { timeMarks } from './time-axis.ts';

interface Size {
  width: number;
  height: number;
}

interface Listeners {
  /** Index under the cursor, or null when it has left. */
  onPoint(at: number | null): void;
  onZoom?: ((from: number, to: number) => void) | undefined;
}

/** Columns in the order of the series: time, then for each line the edges of its band, and over them the line. */
export function dataOf({ x, lines }: ChartPlan): uPlot.AlignedData {
  return [
    x,
    ...lines.flatMap(({ values, band }) => (band === null ? [values] : [band.low, band.high, values])),
  ];
}

export function optionsOf(
  plan: ChartPlan,
  theme: ChartTheme,
  { width, height }: Size,
  { onPoint, onZoom }: Listeners,
  syncKey: string | undefined,
): uPlot.Options {
  return {
    width,
    height,
    ms: 1,
    pxAlign: 0,
    legend: { show: false },
    // Half of the last time's word stands beyond the axis, where no scale makes room for it.
    padding: [10 + plan.strips.length * stripRowPx, 30, 0, 0],
    scales: { x: { time: true, range: () => [plan.from, plan.to] }, ...yScales(plan.scales) },
    axes: [
      timeAxis(plan, theme, width),
      ...Object.entries(plan.scales).map(([key, scale]) => valueAxis(key, scale, theme)),
    ],
    series: [{}, ...plan.lines.flatMap((line) => seriesOf(line, theme))],
    bands: bandsOf(plan.lines, theme),
    cursor: {
      y: false,
      drag: { x: onZoom !== undefined, y: false, setScale: false },
      points: { size: 9, fill: theme.ink },
      ...(syncKey === undefined ? {} : { sync: { key: syncKey } }),
    },
    hooks: {
      draw: [(u) => drawOver(u, plan, theme)],
      setCursor: [(u) => onPoint(u.cursor.idx ?? null)],
      setSelect: [
        (u) => {
          const { left, width: wide } = u.select;
          if (wide < 8) return;
          onZoom?.(u.posToVal(left, 'x'), u.posToVal(left + wide, 'x'));
          u.setSelect({ left: 0, top: 0, width: 0, height: 0 }, false);
        },
      ],
    },
  };
}

function yScales(scales: ChartPlan['scales']): uPlot.Scales {
  return Object.fromEntries(
    Object.entries(scales).map(([key, { range, include, foot = 0 }]) => [
      key,
      {
        range: (_u: uPlot, min: number | null, max: number | null) =>
          range ?? onFoot(endsOf(min, max, include), foot),
      },
    ]),
  );
}

/** The same ends, the lower one this part of the height above the foot. */
const onFoot = ([low, high]: [number, number], foot: number): [number, number] => [
  high - (high - low) / (1 - foot),
  high,
];

/** A little air above and below, and never a scale so tight that noise looks like weather. */
function endsOf(min: number | null, max: number | null, include: readonly number[]): [number, number] {
  const values = [min, max, ...include].filter(
    (value): value is number => value !== null && Number.isFinite(value),
  );
  if (values.length === 0) return [0, 1];
  const [low, high] = [Math.min(...values), Math.max(...values)];
  const air = Math.max((high - low) * 0.08, 0.4);
  return [low - air, high + air];
}

function timeAxis(plan: ChartPlan, theme: ChartTheme, width: number): uPlot.Axis {
  const marks = timeMarks(plan.from, plan.to, plan.zone, Math.max(3, Math.floor(width / 95)));
  const texts = new Map(marks.map(({ t, text }) => [t, text]));
  return {
    stroke: theme.quiet,
    font: theme.font,
    gap: 14,
    size: 44,
    grid: { stroke: theme.grid, width: 1 },
    ticks: { show: false },
    splits: () => marks.map(({ t }) => t),
    values: (_u, splits) => splits.map((t) => texts.get(t) ?? ''),
  };
}

function valueAxis(
  key: string,
  { side, unit, decimals, marks, foot = 0 }: ChartScale,
  theme: ChartTheme,
): uPlot.Axis {
  const aboveFoot: uPlot.Axis.Filter = (u, splits) => {
    const { min = 0, max = 0 } = u.scales[key]!;
    return splits.map((value) => (value >= min + foot * (max - min) ? value : null));
  };
  return {
    filter: aboveFoot,
    scale: key,
    side: side === 'left' ? 3 : 1,
    stroke: theme.quiet,
    font: theme.font,
    gap: 6,
    size: 64,
    space: 42,
    grid: side === 'left' ? { stroke: theme.grid, width: 1, filter: aboveFoot } : { show: false },
    ticks: { show: false },
    ...(marks === undefined ? {} : { splits: () => marks }),
    values: (_u, splits, _axis, _space, step) =>
      splits.map((value: number | null, at) => {
        if (value === null) return '';
        // A step of 2.5 has marks between whole numbers: rounded, 27.5 would stand beside a limit of 28 as another 28.
        const digits = Number.isInteger(step) ? 0 : step >= 0.1 ? 1 : Math.min(2, decimals + 1);
        return at === splits.length - 1 ? withUnit(numberOf(value, digits), unit) : numberOf(value, digits);
      }),
  };
}

function seriesOf({ scale, band, hand }: ChartPlan['lines'][number], theme: ChartTheme): uPlot.Series[] {
  const line: uPlot.Series = {
    scale,
    stroke: hand === 0 ? theme.ink : theme.quiet,
    width: hand === 0 ? 2 : 1.8,
    dash: [...(dashes[hand] ?? [])],
    points: {
      show: true,
      size: 5,
      fill: hand === 0 ? theme.ink : theme.quiet,
      filter: (u, series) => lonePoints(u.data[series] ?? []),
    },
  };
  const edge: uPlot.Series = { scale, stroke: 'transparent', width: 0, points: { show: false } };
  return band === null ? [line] : [edge, edge, line];
}

function bandsOf(lines: ChartPlan['lines'], theme: ChartTheme): uPlot.Band[] {
  const bands: uPlot.Band[] = [];
  let at = 1;
  for (const { band } of lines) {
    if (band !== null) bands.push({ series: [at + 1, at], fill: theme.soft });
    at += band === null ? 1 : 3;
  }
  return bands;
}
