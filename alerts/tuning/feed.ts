import type { Extremes, RecordedReading, RecordedReadings } from '../../shared/ports.ts';
import { rollupWidthsMs } from '../../shared/readings.ts';
import type { EpochMs } from '../../shared/time.ts';
import type { Replay } from './replay.ts';

/** Kept roll-ups that tell which stretches a replay may leave out. */
const [, slotMs, windowMs] = rollupWidthsMs;

interface FeedInput {
  replay: Pick<Replay, 'read' | 'couldMatter'>;
  recorded: RecordedReadings;
  channels: readonly string[];
  from: EpochMs;
  to: EpochMs;
  /** Lets others have their turn between two stretches of work. */
  pause: () => Promise<void>;
}

interface Arrival {
  channel: string;
  reading: RecordedReading;
}

const startOf = (t: EpochMs, widthMs: number) => t - (t % widthMs);

/**
 * Hands recorded readings to a replay in the order of their arrival. A stretch in which no reading of a
 * channel lies beyond anything its alarms wait for is left out: reading it would change nothing, as the kept
 * extremes show. So a month costs little more than its eventful hours.
 *
 * @returns how many readings the replay was given.
 */
export async function feed({ replay, recorded, channels, from, to, pause }: FeedInput): Promise<number> {
  let given = 0;
  /** Read, but not arrived yet: a sensor that was out of reach told of it later. */
  let underway: Arrival[] = [];
  const matters = (channel: string, { low, high }: Pick<Extremes, 'low' | 'high'>) =>
    replay.couldMatter(channel, low, high) || underway.some((arrival) => arrival.channel === channel);

  const playSlot = (slot: EpochMs, there: ReadonlyMap<string, Extremes>) => {
    const arrivals = underway;
    const [start, stop] = [Math.max(from, slot), Math.min(to, slot + slotMs)];
    const read = [...there].filter(([channel, extremes]) => matters(channel, extremes));
    for (const [channel] of read)
      for (const reading of recorded.readings(channel, start, stop)) arrivals.push({ channel, reading });
    arrivals.sort((a, b) => a.reading.receivedAt - b.reading.receivedAt || a.reading.t - b.reading.t);
    const later = arrivals.findIndex(({ reading }) => reading.receivedAt >= slot + slotMs);
    underway = later < 0 ? [] : arrivals.splice(later);
    for (const { channel, reading } of arrivals) replay.read(channel, reading);
    given += arrivals.length;
  };

  for (let window = startOf(from, windowMs); window < to; window += windowMs) {
    const end = Math.min(to, window + windowMs);
    const slots = new Map<EpochMs, Map<string, Extremes>>();
    for (let slot = window; slot < end; slot += slotMs) slots.set(slot, new Map());
    for (const channel of channels) {
      const [whole] = recorded.extremes(channel, windowMs, window, end);
      if (whole === undefined || !matters(channel, whole)) continue;
      for (const extremes of recorded.extremes(channel, slotMs, window, end))
        slots.get(extremes.t)?.set(channel, extremes);
    }
    for (const [slot, there] of slots) if (there.size + underway.length > 0) playSlot(slot, there);
    await pause();
  }
  return given;
}
