import { type BatchTraits, firstBelief, traitCount } from '../../shared/growth/belief.ts';
import type { FinishedBatch } from '../../shared/learning.ts';
import { dayMs } from '../../shared/time.ts';

const firstMadeAt = Date.UTC(2026, 8, 1, 9);

interface Case {
  /** Days from the first making to this batch's. */
  madeDay?: number;
  /** Days from making until it was seen full, looks a day apart; null when nobody saw it full. */
  readyDays?: number | null;
  strain?: string;
  species?: string;
  way?: FinishedBatch['way'];
  shaken?: boolean;
  /** What its looks say of the log of its growth rate, and how surely. */
  rate?: { log: number; sd: number };
  /** What was forecast at the making: likely days, and days to either side. */
  forecast?: { likely: number; reach: number };
}

/** Posterior of a batch whose looks told of the rate alone: an exact normal update of the first belief. */
function traitsOf(batch: string, { rate, way = 'agar-wedges', strain = 'larch-2' }: Case): BatchTraits {
  const variance = firstBelief.covariance[0]!;
  const told = rate === undefined ? 0 : 1 / rate.sd ** 2;
  const posterior = 1 / (1 / variance + told);
  const covariance = [...firstBelief.covariance];
  covariance[0] = posterior;
  const mean = new Array<number>(traitCount).fill(0);
  mean[0] = posterior * told * (rate?.log ?? 0);
  return {
    batch,
    strain,
    way,
    container: 'bag',
    asOf: 0,
    airTold: 1,
    prior: firstBelief,
    posterior: { ...firstBelief, mean, covariance },
    looks: [],
  };
}

/** A finished batch as the ledger holds it. */
export function finishedBatch(batch: string, given: Case = {}): FinishedBatch {
  const { madeDay = 0, readyDays = 12, strain = 'larch-2', species = 'oyster', way = 'agar-wedges' } = given;
  const madeAt = firstMadeAt + madeDay * dayMs;
  const at = (days: number) => madeAt + days * dayMs;
  const { likely, reach } = given.forecast ?? { likely: 13, reach: 2 };
  return {
    batch,
    strain,
    species,
    way,
    generation: 'G1',
    container: 'bag',
    madeAt,
    shakenAt: given.shaken === true ? at(6) : null,
    knownAt: at((readyDays ?? 20) + 1),
    outcome:
      readyDays === null
        ? { kind: 'censored', from: at(9), reason: 'green patch' }
        : { kind: 'seen', bags: [1], from: at(readyDays - 0.5), to: at(readyDays + 0.5) },
    traits: traitsOf(batch, given),
    why: null,
    forecasts: {
      inoculation: {
        batch,
        bags: [1],
        asOf: at(0.2),
        ready: { earliest: at(likely - reach), likely: at(likely), latest: at(likely + reach) },
        share: { low: 0, likely: 0, high: 0 },
        degreeDays: 4,
        coreTempC: 24,
      },
    },
    degreeDays: readyDays === null ? null : readyDays * 19,
  };
}
