import type { ReadingsHistory } from '../../shared/readings.ts';
import { type EpochMs, minuteMs } from '../../shared/time.ts';
import type { LiveValues } from '../intake/live-values.ts';

/** So far back values are taken from the store: enough for a trend. */
const recalledMs = 40 * minuteMs;

interface Recall {
  channels: Iterable<string>;
  now: EpochMs;
  history: Pick<ReadingsHistory, 'series'>;
  live: Pick<LiveValues, 'restore'>;
}

/** So that a restart begins with values and trends instead of an empty wall. */
export async function recallValues({ channels, now, history, live }: Recall): Promise<void> {
  for (const channel of channels) {
    const { points } = await history.series({
      channel,
      from: now - recalledMs,
      to: now + 1,
      maxPoints: 10_000,
    });
    live.restore(
      points.map(({ t, last, marked }) => ({
        channel,
        t,
        value: last,
        quality: marked > 0 ? 'suspect' : 'good',
      })),
    );
  }
}
