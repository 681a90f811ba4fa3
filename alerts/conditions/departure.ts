import { median } from '../../shared/stats/robust.ts';
import { minuteMs } from '../../shared/time.ts';
import { keptTogether } from './kept-together.ts';
import { createRecent } from './recent.ts';
import { createRoomFollowed, type RoomWatched } from './room-followed.ts';
import type { SignalPlan } from './signal.ts';
import { createUsual } from './usual.ts';
import { type Expected, expectedWithEffect } from './with-effect.ts';

const spanMs = 10 * minuteMs;
const gapMs = 60_000;
const leastReadings = 4;
/** What the model misses by is told by days before the last: a cooler may fail for as long. */
const settlingHours = 24;
/** Where so many times the fit's own error is more than a kelvin, a departure counts in units of that. */
const surely = 3;

interface Watched {
  channel: string;
  side: 'above' | 'below';
  /** The room it hangs in, which may have taught what its cooling and heating do. */
  watched?: RoomWatched | undefined;
}

/**
 * How far the air is beyond what its thermostat lets happen on one side [unit of the channel], by the median of
 * 10 min; 0 or less within it. Lasting, it means that cooling (above) or heating (below) runs without effect, or
 * does not run. Where the room has taught what they do, it is measured from the air that it would have with them
 * and what that misses by on other days, and counts for less where that is not sure; else from what is usual.
 */
export const departurePlan = ({ channel, side, watched }: Watched): SignalPlan => ({
  out: `${channel}>beyond usual ${side}`,
  sources: [channel, ...(watched?.outside ?? [])],
  create() {
    const sign = side === 'above' ? 1 : -1;
    const recent = createRecent(spanMs, gapMs);
    const usual = createUsual(side);
    const missed = createUsual(side, settlingHours);
    const room = watched && createRoomFollowed(watched);
    let expected: Expected | null = null;
    /** What was said last: how far beyond what [K, °C], and who says what it should be. */
    let said: { beyondK: number; shouldC: number; byRoom: boolean } | null = null;

    /** Beyond what the room would have with its cooling or heating; null where it has not taught that. */
    const byRoom = (t: number, level: number): number | null => {
      if (expected === null) return null;
      missed.add(t, level - expected.tempC);
      const usually = missed.at(t);
      if (usually === null) return null;
      const shouldC = expected.tempC + usually;
      const beyondK = sign * (level - shouldC);
      said = { beyondK, shouldC, byRoom: true };
      return beyondK / Math.max(1, surely * expected.sdK);
    };
    const byUsual = (t: number, level: number): number | null => {
      const shouldC = usual.at(t);
      if (shouldC === null) return null;
      const beyondK = sign * (level - shouldC);
      said = { beyondK, shouldC, byRoom: false };
      return beyondK;
    };

    return {
      read(source, t, value) {
        if (source !== channel) {
          room?.outside(t, value);
          return null;
        }
        if (!recent.add(t, value)) return null;
        if (room?.add(t, value)) {
          const now = room.now();
          expected = now && expectedWithEffect(now, side);
        }
        if (recent.count < leastReadings) return null;
        const values: number[] = [];
        for (let i = 0; i < recent.count; i += 1) values.push(recent.value(i));
        const level = median(values);
        usual.add(t, level);
        return byRoom(t, level) ?? byUsual(t, level);
      },
      detail() {
        if (said === null) return '';
        const { beyondK, shouldC, byRoom: taught } = said;
        const what = side === 'above' ? 'cooling' : 'heating';
        const than = taught
          ? `than its ${what} would keep it by what this room has taught of itself`
          : 'than it usually gets';
        return `${beyondK.toFixed(1)} K ${side === 'above' ? 'warmer' : 'colder'} ${than} (${spoken(shouldC)})`;
      },
      keep:
        room === undefined ? usual.keep : keptTogether(usual.keep, { missed: missed.keep, room: room.keep }),
    };
  },
});

const spoken = (tempC: number) => `${tempC.toFixed(1)} °C`;
