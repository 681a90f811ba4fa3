import type { InstantInterval } from '../../shared/forecasts.ts';
import { median } from '../../shared/stats/robust.ts';
import { type EpochMs, hourMs, minuteMs } from '../../shared/time.ts';
import { courseOf, crossingOf, type Trend, trendOf } from './crossing.ts';
import { keptTogether } from './kept-together.ts';
import { createRecent } from './recent.ts';
import { roomCrossing, stepsAhead } from './room-crossing.ts';
import { createRoomFollowed, type RoomNow, type RoomWatched } from './room-followed.ts';
import type { Outlook, SignalPlan } from './signal.ts';
import { createUsual } from './usual.ts';

/** What stands for 'not within any time that matters' [min]. */
export const notSoonMin = 9_999;

const gapMs = 20_000;
/** The trend that is carried on, and the longer one that is better known where the two agree. */
const trendMs = 12 * minuteMs;
const longTrendMs = 30 * minuteMs;
/** Where the room tells how it goes on, its air of so long tells what heat comes into it. */
const roomTrendMs = 8 * minuteMs;
/** A thermostat's own swings end here: beyond what is usual by this much, the air is on its way [K]. */
const beyondUsual = 0.3;
/** A trend counts from so many of its standard errors on. */
const surely = 3;
const drawnMs = 2 * hourMs;
const drawnStepMs = 5 * minuteMs;

interface Watched {
  channel: string;
  side: 'above' | 'below';
  /** Names the limit: two plans of the same name foresee the same. */
  name: string;
  limitAt: (t: EpochMs) => number;
  /** The room it hangs in: where that taught what it is, it stands in the place of the plain trend. */
  watched?: RoomWatched | undefined;
}

interface Ahead {
  trend: Trend;
  limit: number;
  crosses: InstantInterval;
  /** The course with its range, and who says so. */
  points: () => Outlook['points'];
  by: 'its trend' | 'what this room has taught of itself';
}

/**
 * Minutes until a channel passes its limit if it goes on as it does; `notSoonMin` while it need not. Spoken
 * only of air that has left what is usual there and surely goes on; withdrawn as soon as it turns. How it goes on is
 * told by the room's own fit where there is one, else by the trend alone, which slows down as rooms do. The
 * margins were chosen on simulated cooler failures and checked on others (`npm run bench -- prediction`).
 */
export const predictedPlan = ({ channel, side, name, limitAt, watched }: Watched): SignalPlan => ({
  out: `${channel}>passes ${name}`,
  sources: [channel, ...(watched?.outside ?? [])],
  create() {
    const sign = side === 'above' ? 1 : -1;
    const recent = createRecent(longTrendMs, gapMs);
    const usual = createUsual(side);
    const room = watched && createRoomFollowed(watched);
    let ahead: Ahead | null = null;

    /** The newest readings without a single one's noise. */
    const level = () => {
      const newest: number[] = [];
      for (let i = recent.count - 1; i >= 0 && newest.length < 5; i -= 1) newest.push(recent.value(i));
      return median(newest);
    };
    /** By the trend alone: it counts once it is surely there, and slows down as rooms do. */
    const byTrend = (limit: number, short: Trend): Ahead | null => {
      const long = trendOf(recent, longTrendMs);
      const agree = long !== null && Math.abs(long.perH - short.perH) < 2 * short.perHSe;
      const { perH, perHSe } = agree ? long : short;
      const turns = sign * short.perH < -short.perHSe || sign * (long ?? short).perH <= 0;
      if (turns || sign * perH < surely * perHSe) return null;
      const trend = { ...short, perH, perHSe };
      const points = () => courseOf(trend, drawnMs, drawnStepMs);
      return { trend, limit, crosses: crossingOf(trend, side, limit), points, by: 'its trend' };
    };
    /** By the room: how warm its air is against its walls tells more than how fast it goes. */
    const byRoom = (limit: number, short: Trend, now: RoomNow): Ahead | null => {
      const newest = trendOf(recent, roomTrendMs);
      const [trend, spanMs] = newest === null ? [short, trendMs] : [newest, roomTrendMs];
      if (sign * trend.perH < -trend.perHSe) return null;
      const middleC = trend.value - (trend.perH * spanMs) / 2 / hourMs;
      const ahead = room!.ahead(trend.t - spanMs / 2, middleC, stepsAhead);
      const { crosses, points } = roomCrossing(trend, spanMs, now, ahead, side, limit);
      const drawn = points.filter((point) => point.t >= trend.t && point.t <= trend.t + drawnMs);
      return { trend, limit, crosses, points: () => drawn, by: 'what this room has taught of itself' };
    };
    const lookAhead = (t: EpochMs, limit: number, short: Trend): Ahead | null => {
      const known = usual.at(t);
      if (known === null || sign * (short.value - known) <= beyondUsual) return null;
      const now = room?.now();
      return now ? byRoom(limit, short, now) : byTrend(limit, short);
    };

    return {
      read(source, t, value) {
        if (source !== channel) {
          room?.outside(t, value);
          return null;
        }
        if (!recent.add(t, value)) return null;
        room?.add(t, value);
        usual.add(t, level());
        const limit = limitAt(t);
        const short = trendOf(recent, trendMs);
        if (short === null || !Number.isFinite(limit)) {
          ahead = null;
          return null;
        }
        ahead = lookAhead(t, limit, short);
        if (ahead === null) return notSoonMin;
        return Math.min(notSoonMin, Math.max(0, (ahead.crosses.likely - t) / minuteMs));
      },
      detail() {
        if (ahead === null) return '';
        const { trend, crosses, by } = ahead;
        const minutes = (at: EpochMs) => Math.max(0, Math.round((at - trend.t) / minuteMs));
        const latest = Number.isFinite(crosses.latest) ? `${minutes(crosses.latest)}` : 'later';
        const speed = `${Math.abs(trend.perH).toFixed(1)} °C/h`;
        return `${minutes(crosses.earliest)}-${latest}; ${spokenValue(trend)} now, ${speed}; by ${by}`;
      },
      outlook() {
        if (ahead === null || !Number.isFinite(ahead.crosses.likely)) return null;
        const { trend, limit, crosses, points } = ahead;
        const latest = Number.isFinite(crosses.latest) ? crosses.latest : trend.t + 24 * hourMs;
        return {
          limit,
          crosses: { ...crosses, latest },
          points: points(),
        };
      },
      keep: room === undefined ? usual.keep : keptTogether(usual.keep, { room: room.keep }),
    };
  },
});

const spokenValue = (trend: Trend) => `${trend.value.toFixed(1)} °C`;
