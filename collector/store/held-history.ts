import type { Channel, Farm } from '../../shared/farm/farm.ts';
import { heldBySteps, holdMsOf } from '../../shared/held-state.ts';
import { rollupWidthsMs, type Series, type SeriesPoint, type SeriesQuestion } from '../../shared/readings.ts';
import { type Clock, dayMs, type EpochMs, minuteMs } from '../../shared/time.ts';
import { bucketStart } from './bucket.ts';
import type { StoreHistory } from './history.ts';

const widthsMs = [1, 5, 15, 30, 60, 180, 360, 720, 1_440].map((minutes) => minutes * minuteMs);

/** The width of points that keep to what was asked for: of the list, or so many days. */
function widthOf({ from, to, maxPoints }: SeriesQuestion): number {
  const leastMs = (to - from) / Math.max(1, Math.floor(maxPoints));
  return widthsMs.find((widthMs) => widthMs >= leastMs) ?? Math.ceil(leastMs / dayMs) * dayMs;
}

const [minutes, quarters, sixths] = rollupWidthsMs;
/** No chart reads more than some ten thousand rows: longer spans go by quarters of an hour, or by six hours. */
const sourceOf = (spanMs: number): (typeof rollupWidthsMs)[number] =>
  spanMs <= 8 * dayMs ? minutes : spanMs <= 120 * dayMs ? quarters : sixths;

interface Parts {
  rest: (question: SeriesQuestion) => Promise<Series>;
  history: Pick<StoreHistory, 'readStates'>;
  farm: () => Farm;
  clock: Pick<Clock, 'now'>;
}

/**
 * Answers series of coolers as the part of the time for which they ran, whenever they were told of, and all other
 * series as `rest` does. A point has one value: its lowest and highest are its mean.
 */
export const createHeldHistory =
  ({ rest, history, farm, clock }: Parts) =>
  async (question: SeriesQuestion): Promise<Series> => {
    const channel = farm().channels.get(question.channel);
    if (channel?.quantity !== 'cooler-on') return rest(question);
    return heldSeries(history, channel, question, clock.now());
  };

function heldSeries(
  history: Pick<StoreHistory, 'readStates'>,
  channel: Channel,
  question: SeriesQuestion,
  now: EpochMs,
): Series {
  const bucketMs = widthOf(question);
  const from = bucketStart(question.from, bucketMs);
  const until = Math.min(question.to, now);
  if (!(from < until)) return { channel: channel.id, bucketMs, points: [] };
  const sourceMs = sourceOf(until - from);
  const holdMs = Math.max(holdMsOf(channel.sensor.everyS), sourceMs);
  const told = history.readStates(channel.id, from - holdMs, until, sourceMs);
  const steps = Math.ceil((until - from) / bucketMs);
  const shares = heldBySteps(told, { from, stepMs: bucketMs, steps, until }, holdMs);
  const points: SeriesPoint[] = [];
  shares.forEach((share, step) => {
    if (Number.isNaN(share)) return;
    const t = from + step * bucketMs;
    points.push({ t, count: 1, min: share, max: share, mean: share, last: share, marked: 0 });
  });
  return { channel: channel.id, bucketMs, points };
}
