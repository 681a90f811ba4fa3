import type { AlarmJournalEntry } from '../../../shared/alarms.ts';
import type { FarmView, LiveState } from '../../../shared/live.ts';
import type { Series } from '../../../shared/readings.ts';
import { type EpochMs, minuteMs, secondMs } from '../../../shared/time.ts';
import { columnsOf, joinColumns } from '../chart/gaps.ts';
import { type ChartPlan, type ChartScale, type ChartTick, emptyPlan } from '../chart/plan.ts';
import { limitOf, type Shown, type TemperatureUnit, writingOf } from '../format/value.ts';
import { charts } from '../text/charts.ts';
import { common } from '../text/common.ts';

type Channel = FarmView['channels'][number] | FarmView['derived'][number];

/** All series that there are: measured, then computed. */
export const channelsOf = (farm: FarmView): Channel[] => [...farm.channels, ...farm.derived];

interface Input {
  farm: FarmView;
  series: readonly Series[];
  from: EpochMs;
  to: EpochMs;
  ticks: readonly ChartTick[];
  temperature: TemperatureUnit;
}

/** `A1 temperature`, or `Warm room humidity` for a channel that hangs in the room. */
export function channelName(farm: FarmView, channel: Channel): string {
  const place = channel.shelf ?? farm.rooms.find(({ id }) => id === channel.room)?.name ?? channel.room;
  return `${place} ${common.quantity[channel.quantity]}`;
}

/** The same axis serves everything in one unit; the first unit stands left, another right. */
const scaleOf = (quantity: Shown): string =>
  quantity === 'probe-temperature' || quantity === 'dew-point' ? 'temperature' : quantity;

/**
 * A cooler is on for none of the time or for all of it, and for no more. Beside other lines it keeps to the foot of
 * the chart: up and down through its whole height, it would hide them.
 */
const coolerEnds = (alone: boolean): Pick<ChartScale, 'range' | 'marks'> =>
  alone ? { range: [0, 106] } : { range: [0, 480], marks: [0, 50, 100] };
/** The others leave that to it, and a little more. */
const coolerFoot = 0.24;

/** Series of several channels as one chart, with the limits that hold where they hang. */
export function seriesPlan({ farm, series, from, to, ticks, temperature }: Input): ChartPlan {
  const channels = new Map(channelsOf(farm).map((channel) => [channel.id, channel]));
  const found = series.flatMap((one) => {
    const channel = channels.get(one.channel);
    return channel === undefined ? [] : [{ one, channel, writing: writingOf(channel.quantity, temperature) }];
  });
  const { x, columns } = joinColumns(
    found.map(({ one, channel, writing }) => {
      const step = Math.max(one.bucketMs, channel.everyS * secondMs, minuteMs / 2);
      return columnsOf(one.points, step, writing.shown);
    }),
  );
  const rooms = new Set(found.map(({ channel }) => channel.room));
  const isCooler = ({ channel }: { channel: Channel }): boolean => channel.quantity === 'cooler-on';
  const alone = found.every(isCooler);
  const foot = found.some(isCooler) ? { foot: coolerFoot } : {};
  const plan = emptyPlan(farm.site.timeZone, from, to);
  plan.x = x;
  plan.ticks = [...ticks];
  found.forEach(({ one, channel, writing }, at) => {
    const scale = scaleOf(channel.quantity);
    const column = columns[at]!;
    plan.scales[scale] ??= {
      unit: writing.unit,
      decimals: writing.decimals,
      side: Object.keys(plan.scales).length === 0 ? 'left' : 'right',
      ...(channel.quantity === 'cooler-on' ? coolerEnds(alone) : { range: null, ...foot }),
      include: [],
    };
    plan.lines.push({
      label: channelName(farm, channel),
      scale,
      values: column.mean,
      band:
        one.bucketMs === 0 || channel.quantity === 'cooler-on' ? null : { low: column.min, high: column.max },
      hand: (at % 4) as 0 | 1 | 2 | 3,
    });
    addLimits(plan, farm, channel, scale, temperature, rooms.size > 1);
  });
  return plan;
}

/** The room's limits of a channel; the room is named where several have different ones. */
function addLimits(
  plan: ChartPlan,
  farm: FarmView,
  channel: Channel,
  scale: string,
  unit: TemperatureUnit,
  named: boolean,
): void {
  if (channel.quantity !== 'temperature' && channel.quantity !== 'humidity') return;
  const room = farm.rooms.find(({ id }) => id === channel.room);
  if (room === undefined) return;
  const limits = room.limits[channel.quantity];
  const writing = writingOf(channel.quantity, unit);
  for (const [side, say] of [
    ['low', charts.limitLow],
    ['high', charts.limitHigh],
  ] as const) {
    const si = limits[side];
    if (si === null) continue;
    const value = writing.shown(si);
    const text = named ? `${room.name} ${say(limitOf(si, writing))}` : say(limitOf(si, writing));
    plan.scales[scale]?.include.push(value);
    if (!plan.limits.some((limit) => limit.scale === scale && limit.value === value))
      plan.limits.push({ scale, value, text });
  }
}

/** What happened where these channels hang: bags handled on their shelves, alarms of theirs. */
export function ticksOf(
  channels: readonly Channel[],
  batches: LiveState['batches'],
  journal: readonly AlarmJournalEntry[],
): ChartTick[] {
  const shelves = new Set(channels.flatMap(({ shelf }) => (shelf === null ? [] : [shelf])));
  // A limit of a whole room has the room's name and the quantity in its alarm's id.
  const ids = new Set(channels.flatMap(({ id, room, quantity }) => [id, `${room}.${quantity}`]));
  const handled = batches.flatMap(({ cohorts }) =>
    cohorts.flatMap(({ shelf, stays, checks, shakes }) => [
      ...stays.filter((stay) => stay.shelf !== null && shelves.has(stay.shelf)).map(({ from }) => from),
      ...(shelf !== null && shelves.has(shelf) ? [...checks.map(({ t }) => t), ...shakes] : []),
    ]),
  );
  const rang = journal.filter(
    ({ alarm, to, from }) =>
      to === 'unacknowledged' && from !== 'acknowledged' && ids.has(alarm.slice(alarm.indexOf('/') + 1)),
  );
  return [
    ...[...new Set(handled)].map((t): ChartTick => ({ t, kind: 'event' })),
    ...rang.map(({ t }): ChartTick => ({ t, kind: 'alarm' })),
  ];
}
