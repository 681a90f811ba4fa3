import { jointAir } from '../../shared/air/joint-air.ts';
import { coolerChannels, roomAirChannels } from '../../shared/air/room-channels.ts';
import { type Farm, outsidePlace } from '../../shared/farm/farm.ts';
import { holdMsOf } from '../../shared/held-state.ts';
import { meanOfKnown } from '../../shared/stats/mean.ts';
import { dayMs, type EpochMs, hourMs, minuteMs } from '../../shared/time.ts';
import type { RecentAir } from '../../shared/unload/plan-input.ts';
import { bySteps } from '../store/by-steps.ts';
import type { StoreHistory } from '../store/history.ts';

const usualStepMs = 5 * minuteMs;
/** The structure of a room remembers about so long. */
const spanMs = 48 * hourMs;

interface RecentAirNeeds {
  farm: Farm;
  room: string;
  now: EpochMs;
  history: Pick<StoreHistory, 'readMinutes'>;
  /** From when; two days before `now` unless given. */
  from?: EpochMs;
  stepMs?: number;
  /** The day before this instant sets the level of sensors that do not all speak; `now` unless given. */
  levelAt?: EpochMs;
}

/** Air of a room, and outside, as sensors tell it together, every five minutes (or `stepMs`) up to now. */
export function recentAir({
  farm,
  room,
  now,
  history,
  from = now - spanMs,
  stepMs = usualStepMs,
  levelAt = now,
}: RecentAirNeeds): RecentAir {
  const firstT = Math.ceil(from / stepMs) * stepMs;
  const count = Math.max(0, Math.floor((now - firstT) / stepMs) + 1);
  const together = (place: string): Float64Array => {
    const channels = roomAirChannels(farm, place);
    // How several stand to each other is learned from that day too: a hot load alone tells it badly.
    const before = channels.length > 1 ? Math.max(0, Math.ceil((firstT - levelAt + dayMs) / stepMs)) : 0;
    const learnedFrom = firstT - before * stepMs;
    const series = channels.map(({ id }) =>
      bySteps(
        history.readMinutes(id, learnedFrom - stepMs, now + 1),
        before + count,
        // A point stands for the step before it.
        (at) => Math.ceil((at - learnedFrom) / stepMs),
      ),
    );
    return series.length === 0
      ? new Float64Array(count).fill(Number.NaN)
      : jointAir(series, hourMs / stepMs, Math.floor((levelAt - learnedFrom) / stepMs) + 1).slice(before);
  };
  return {
    firstT,
    stepMs,
    airC: together(room),
    outsideC: together(outsidePlace),
  };
}

/** Whether a room's cooler runs at an instant, of several the part of them that do, 0 to 1; null where nothing tells. */
export function coolingNow({
  farm,
  room,
  now,
  history,
}: {
  farm: Farm;
  room: string;
  now: EpochMs;
  history: Pick<StoreHistory, 'readStates'>;
}): number | null {
  const percents = coolerChannels(farm, room).map(({ id, sensor }) => {
    const { t, value } = history.readStates(id, now - holdMsOf(sensor.everyS), now + 1);
    return t.length === 0 ? Number.NaN : value[t.length - 1]!;
  });
  const percent = meanOfKnown(percents);
  return Number.isFinite(percent) ? percent / 100 : null;
}

/** The newest measured air [°C], or null when it is older than `withinMs`. */
export function newestAirC(
  { firstT, stepMs: step, airC }: RecentAir,
  now: EpochMs,
  withinMs: number,
): number | null {
  for (let index = airC.length - 1; index >= 0; index--) {
    if (now - (firstT + index * step) > withinMs) return null;
    if (!Number.isNaN(airC[index]!)) return airC[index]!;
  }
  return null;
}
