import { roomAirChannels } from '../../shared/air/room-channels.ts';
import type { Farm } from '../../shared/farm/farm.ts';
import { dayMs, type EpochMs, hourMs } from '../../shared/time.ts';
import type { StoreHistory } from '../store/history.ts';

/** So much is read at once, so that a long past keeps nobody waiting. */
const readHours = dayMs / hourMs;

interface Kept {
  channels: string;
  firstHour: number;
  /** Mean of each hour from `firstHour` on [°C]; NaN where nothing was measured. */
  airC: number[];
  /** From this hour on readings have come since; Infinity where none did but in the last. */
  changedFrom: number;
}

interface HourlyAirNeeds {
  history: Pick<StoreHistory, 'readMinutes'>;
  /** Lets others have their turn between two reads. */
  pause: () => Promise<void>;
}

/** Mean air of rooms by the hour, read once and kept until late readings come: for what changes over days. */
export function createHourlyAir({ history, pause }: HourlyAirNeeds) {
  const rooms = new Map<string, Kept>();
  /** Hour of the earliest reading of each channel since it was read. */
  const earliest = new Map<string, number>();

  return {
    /** A reading came and is stored. */
    note(channel: string, t: EpochMs): void {
      const hour = Math.floor(t / hourMs);
      if (hour < (earliest.get(channel) ?? Number.POSITIVE_INFINITY)) earliest.set(channel, hour);
    },
    /**
     * Hours since the epoch from `firstHour` to `lastHour`, the last read anew each time, and from which hour on they
     * may differ from what was told last.
     */
    async read(
      farm: Farm,
      room: string,
      firstHour: number,
      lastHour: number,
    ): Promise<{ airC: Float64Array; changedFrom: number }> {
      const channels = roomAirChannels(farm, room).map(({ id }) => id);
      const known = rooms.get(room);
      const goesOn =
        known?.channels === channels.join() && known.firstHour <= firstHour && lastHour >= firstHour;
      const kept: Kept = goesOn
        ? known
        : { channels: channels.join(), firstHour, airC: [], changedFrom: Number.POSITIVE_INFINITY };
      rooms.set(room, kept);
      // What comes while others have their turn is read the next time.
      for (const id of channels) {
        kept.changedFrom = Math.min(kept.changedFrom, earliest.get(id) ?? Number.POSITIVE_INFINITY);
        earliest.delete(id);
      }
      // The hour that was running at the last read is over now, or still is.
      const running = kept.firstHour + Math.max(0, kept.airC.length - 1);
      const from = Math.max(kept.firstHour, Math.min(running, kept.changedFrom));
      for (let hour = from; hour <= lastHour; hour += readHours) {
        const end = Math.min(lastHour + 1, hour + readHours);
        const sums = new Float64Array(end - hour);
        const counts = new Float64Array(end - hour);
        for (const id of channels) {
          const { t, mean } = history.readMinutes(id, hour * hourMs, end * hourMs);
          t.forEach((at, index) => {
            const place = Math.floor(at / hourMs) - hour;
            sums[place]! += mean[index]!;
            counts[place]! += 1;
          });
          await pause();
        }
        sums.forEach((sum, place) => {
          kept.airC[hour + place - kept.firstHour] = sum / counts[place]!;
        });
      }
      kept.changedFrom = Number.POSITIVE_INFINITY;
      const before = firstHour - kept.firstHour;
      kept.airC.splice(0, before);
      kept.firstHour = firstHour;
      return { airC: Float64Array.from(kept.airC.slice(0, lastHour - firstHour + 1)), changedFrom: from };
    },
  };
}
