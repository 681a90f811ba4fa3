import type { BatchState } from '../../shared/batches.ts';
import type { Farm } from '../../shared/farm/farm.ts';
import { dayMs, type EpochMs, minuteMs } from '../../shared/time.ts';
import type { StoreHistory } from '../store/history.ts';
import type { Forecaster } from './forecaster.ts';

/** Air older than this no longer moves any standing batch. */
export const airMemoryMs = 120 * dayMs;

interface HandOver {
  farm: Farm;
  now: EpochMs;
  history: Pick<StoreHistory, 'readMinutes'>;
  forecaster: Pick<Forecaster, 'loadHistory'>;
  /** Standing batches and those that they were poured from. */
  batches: readonly BatchState[];
}

/** Hands the air that batches have breathed to a forecaster that knows none yet. */
export function handOverAir({ farm, now, history, forecaster, batches }: HandOver): void {
  const since = Math.min(now, ...batches.map(({ madeAt }) => madeAt)) - dayMs;
  for (const { id, quantity } of farm.channels.values()) {
    if (quantity !== 'temperature' && quantity !== 'probe-temperature') continue;
    for (const estimated of [false, true]) {
      const from = Math.max(since, now - airMemoryMs);
      const { t, mean, count } = history.readMinutes(id, from, now + minuteMs, { estimated });
      if (t.length > 0) forecaster.loadHistory(id, t, mean, count, estimated);
    }
  }
}
