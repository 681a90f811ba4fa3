import { roomAirChannels } from '../../shared/air/room-channels.ts';
import { type Farm, outsidePlace } from '../../shared/farm/farm.ts';
import { type EpochMs, hourMs, minuteMs } from '../../shared/time.ts';
import type { RecentAir } from '../../shared/unload/plan-input.ts';
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
}

/** Air of a room, and outside, as sensors measured it, mean over them, every five minutes (or `stepMs`) up to now. */
export function recentAir({
  farm,
  room,
  now,
  history,
  from = now - spanMs,
  stepMs = usualStepMs,
}: RecentAirNeeds): RecentAir {
  const firstT = Math.ceil(from / stepMs) * stepMs;
  const count = Math.max(0, Math.floor((now - firstT) / stepMs) + 1);
  const meanOf = (channels: readonly string[]): Float64Array => {
    const sum = new Float64Array(count);
    const weight = new Float64Array(count);
    for (const id of channels) {
      const { t, mean } = history.readMinutes(id, firstT - stepMs, now + 1);
      t.forEach((at, index) => {
        // A point stands for the step before it.
        const step = Math.ceil((at - firstT) / stepMs);
        if (step < 0 || step >= count) return;
        sum[step]! += mean[index]!;
        weight[step]! += 1;
      });
    }
    return sum.map((total, step) => (weight[step]! > 0 ? total / weight[step]! : Number.NaN));
  };
  return {
    firstT,
    stepMs,
    airC: meanOf(roomAirChannels(farm, room).map(({ id }) => id)),
    outsideC: meanOf(roomAirChannels(farm, outsidePlace).map(({ id }) => id)),
  };
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
