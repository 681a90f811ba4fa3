import type { FarmView } from '../../../shared/live.ts';
import type { Series } from '../../../shared/readings.ts';
import { type EpochMs, minuteMs, secondMs } from '../../../shared/time.ts';
import { warmsRoom } from '../../../shared/unload/expected.ts';
import type { ExpectedPoint, UnloadEvent, UnloadNow, UnloadPlan } from '../../../shared/unloads.ts';
import { type Columns, columnsOf, joinColumns } from '../chart/gaps.ts';
import { type ChartLine, type ChartPlan, emptyPlan } from '../chart/plan.ts';
import { channelName } from '../charts/series-plan.ts';
import { limitWritten, type Writing } from '../format/value.ts';
import { unload as text } from '../text/unload.ts';
import { probeName } from './probes.ts';

interface Scene {
  plan: UnloadPlan;
  now: EpochMs;
  zone: string;
  /** How this screen writes temperatures. */
  writing: Writing;
}

interface Measured {
  farm: FarmView;
  series: readonly Series[];
}

/** What a curve of expectation looks like as columns. */
function columnsOfPoints(points: readonly ExpectedPoint[], { shown }: Writing): Columns {
  return {
    x: points.map(({ t }) => t),
    mean: points.map(({ value }) => shown(value.likely)),
    min: points.map(({ value }) => shown(value.low)),
    max: points.map(({ value }) => shown(value.high)),
  };
}

/** The room's limits as they are written at the edge, away from where a load brings the air up to them. */
const limitsOf = (room: FarmView['rooms'][number] | undefined, writing: Writing) =>
  [room?.limits.temperature.high, room?.limits.temperature.low].flatMap((limitC) =>
    limitC == null
      ? []
      : [
          {
            ...{ scale: 'air', value: writing.shown(limitC), atRight: true },
            text: limitWritten(limitC, writing),
          },
        ],
  );

/** The hairline of now; none at the very edge and no word near it, where numbers of limits stand. */
function momentOf(now: EpochMs, from: EpochMs, to: EpochMs, word: string): ChartPlan['moments'] {
  if (now - from < 10 * minuteMs) return [];
  return [{ t: now, text: now - from < 0.05 * (to - from) ? '' : word }];
}

/** Air of the room: expected with its band, the limits, and what was measured where there is something. */
export function airPlan({ plan, now, zone, writing }: Scene, { farm, series }: Measured): ChartPlan {
  const channels = new Map(farm.channels.map((channel) => [channel.id, channel]));
  const found = series.flatMap((one) => {
    const channel = channels.get(one.channel);
    return channel === undefined || one.points.length === 0 ? [] : [{ one, channel }];
  });
  const expected = columnsOfPoints(plan.air, writing);
  const { x, columns } = joinColumns([
    expected,
    ...found.map(({ one, channel }) =>
      columnsOf(one.points, Math.max(one.bucketMs, channel.everyS * secondMs, minuteMs / 2), writing.shown),
    ),
  ]);
  const [first, ...rest] = columns;
  const live = found.length > 0;
  const limits = limitsOf(
    farm.rooms.find(({ id }) => id === plan.room),
    writing,
  );
  const spans = peakSpan(plan, writing);
  // Expected comes first, so that its band lies under what was measured.
  const lines: ChartLine[] = [
    {
      ...{ label: text.airLine, scale: 'air', values: first!.mean, hand: live ? 1 : 0 },
      band: { low: first!.min, high: first!.max },
    },
    ...rest.map(
      (column, at): ChartLine => ({
        ...{ label: channelName(farm, found[at]!.channel), scale: 'air', values: column.mean, band: null },
        hand: ([0, 2, 3] as const)[at % 3]!,
      }),
    ),
  ];
  const from = Math.min(plan.at, x[0] ?? plan.at);
  const to = Math.max(x.at(-1) ?? from, from + minuteMs);
  return {
    ...emptyPlan(zone, from, to),
    x,
    lines,
    scales: {
      air: {
        ...{ unit: writing.unit, decimals: writing.decimals, side: 'left' as const, range: null },
        include: [...limits, ...spans].map(({ value }) => value),
      },
    },
    limits,
    moments: momentOf(now, from, to, text.now),
    spans,
  };
}

/** How warm the room gets at its warmest, and when; nothing where the load does not warm it. */
function peakSpan(plan: UnloadPlan, { shown }: Writing): ChartPlan['spans'] {
  if (!warmsRoom(plan)) return [];
  const { tempC, at } = plan.peak;
  return [{ from: at.earliest, likely: at.likely, to: at.latest, scale: 'air', value: shown(tempC.likely) }];
}

interface CoreLive {
  farm: Pick<FarmView, 'channels'> | null;
  events: readonly UnloadEvent[];
  state: UnloadNow | null;
  /** What probes in it told. */
  probed: readonly Series[];
}
const nothingYet: CoreLive = { farm: null, events: [], state: null, probed: [] };
/** A probe's line is broken where it told nothing for longer. */
const longestGapMs = 5 * minuteMs;

/** While it cools: what is held of it now with its range, over the line that was expected as it came in. */
function coreLines(
  plan: UnloadPlan,
  { farm, state, probed }: CoreLive,
  writing: Writing,
): Pick<ChartPlan, 'x' | 'lines'> {
  const expected = columnsOfPoints(plan.core, writing);
  const held = state === null || state.core.length === 0 ? null : columnsOfPoints(state.core, writing);
  const told = probed.filter(({ points }) => points.length > 0);
  const line = ({ mean, min, max }: Omit<Columns, 'x'>, label: string): ChartLine => ({
    ...{ label, scale: 'core', values: mean, band: { low: min, high: max }, hand: 0 },
  });
  const { x, columns } = joinColumns([
    expected,
    ...(held === null ? [] : [held]),
    ...told.map(({ points, bucketMs }) => columnsOf(points, Math.max(bucketMs, longestGapMs), writing.shown)),
  ]);
  const [planned, ...rest] = columns;
  const belief = held === null ? undefined : rest.shift();
  const plannedLine = line(planned!, text.coreLine);
  return {
    x,
    lines: [
      ...(belief === undefined
        ? [plannedLine]
        : [{ ...plannedLine, band: null, hand: 1 as const }, line(belief, text.coreBelief)]),
      ...rest.map((column, at): ChartLine => {
        const label = text.coreProbe(farm === null ? '' : probeName(farm, told[at]!.channel));
        return { label, scale: 'core', values: column.mean, band: null, hand: at === 0 ? 2 : 3 };
      }),
    ],
  };
}

/** Core of the load: expected with its band, when it meets the inoculation temperature, and what was measured. */
export function corePlan({ plan, now, zone, writing }: Scene, given: Partial<CoreLive> = {}): ChartPlan {
  const live = { ...nothingYet, ...given };
  const belowC = live.state?.inoculateBelowC ?? plan.inoculateBelowC;
  const value = writing.shown(belowC);
  const { x, lines } = coreLines(plan, live, writing);
  const meets = live.state === null ? plan.inoculateAt : live.state.inoculateAt;
  const from = x[0] ?? plan.at;
  const to = Math.max(x.at(-1) ?? from, from + minuteMs);
  return {
    ...emptyPlan(zone, from, to),
    x,
    lines,
    scales: {
      core: {
        ...{ unit: writing.unit, decimals: writing.decimals, side: 'left' as const, range: null },
        include: [value],
      },
    },
    limits: [
      {
        ...{ scale: 'core', value, strong: true },
        text: text.inoculateBelow(limitWritten(belowC, writing)),
      },
    ],
    moments: momentOf(now, from, to, ''),
    points: live.events.flatMap((event) =>
      event.kind === 'measured' && event.where === 'core'
        ? [{ t: event.t, value: writing.shown(event.tempC), scale: 'core' }]
        : [],
    ),
    spans:
      meets === null
        ? []
        : [{ from: meets.earliest, likely: meets.likely, to: meets.latest, scale: 'core', value }],
  };
}
