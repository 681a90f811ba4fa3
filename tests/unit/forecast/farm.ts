import { createEngine, type Engine } from '../../../collector/forecast/engine.ts';
import { stepMs } from '../../../collector/forecast/grid.ts';
import type { Inoculation } from '../../../shared/bags.ts';
import type { BatchState, Cohort } from '../../../shared/batches.ts';
import { type FarmFile, farmFile } from '../../../shared/farm/schema.ts';
import { type Beliefs, firstBelief } from '../../../shared/growth/belief.ts';
import { dayMs, type EpochMs } from '../../../shared/time.ts';

/** Midnight at which tests begin. */
export const start: EpochMs = Date.UTC(2025, 2, 3);
export const at = (days: number): EpochMs => start + Math.round(days * dayMs);

/** One room, a measured shelf, one that only the room's sensor knows, and a second room without any sensor. */
export const farm: FarmFile = farmFile.parse({
  site: { id: 'fernhollow', name: 'Fernhollow', timeZone: 'UTC' },
  rooms: [
    { id: 'warm', name: 'Warm room', racks: [{ id: 'A', shelves: [{ id: 'A1' }, { id: 'A2' }] }] },
    { id: 'dark', name: 'Dark room', racks: [{ id: 'D', shelves: [{ id: 'D1' }] }] },
  ],
  sensors: [sensor('on-a1', 'A1'), sensor('in-warm', 'warm')],
  containers: [
    {
      id: 'bag',
      name: '3.5 L bag',
      kind: 'bag',
      shape: { form: 'brick', widthM: 0.2, depthM: 0.13, heightM: 0.2 },
      massKg: 2.6,
      volumeL: 3.5,
    },
  ],
  strains: [
    { id: 'oyster-one', name: 'Oyster one', species: 'oyster' },
    { id: 'quick-reishi', name: 'Quick reishi', species: 'reishi', rateFactor: 1.5 },
  ],
});

function sensor(id: string, where: string) {
  return {
    id,
    topic: `t/${id}`,
    decoder: 'plain',
    at: where,
    channels: [{ quantity: 'temperature', unit: 'degC' }],
  };
}

const wedges: Inoculation = { way: 'agar-wedges', pieces: 20 };

export interface BatchOptions {
  id?: string;
  strain?: string;
  inoculation?: Inoculation;
  madeDay?: number;
  shelf?: string | null;
  moves?: [day: number, shelf: string][];
  checks?: [day: number, share: number][];
  shakes?: number[];
}

/** A batch of one cohort that stands. */
export function batchOf(options: BatchOptions = {}): BatchState {
  const { id = 'b1', strain = 'oyster-one', inoculation = wedges, madeDay = 0, shelf = 'A1' } = options;
  const cohort: Cohort = {
    id: `${id}/1`,
    batch: id,
    bags: [1, 2, 3],
    shelf,
    stays: [
      { from: at(madeDay), shelf },
      ...(options.moves ?? []).map(([day, to]) => ({ from: at(day), shelf: to })),
    ],
    checks: (options.checks ?? []).map(([day, share], index) => ({
      t: at(day),
      share,
      who: 'Ada',
      event: `${id}-check-${index}`,
    })),
    shakes: (options.shakes ?? []).map(at),
  };
  return {
    id,
    strain,
    container: 'bag',
    generation: 'G1',
    inoculation,
    madeAt: at(madeDay),
    madeBy: 'Ada',
    count: 3,
    parent: null,
    cohorts: [cohort],
    used: [],
    discarded: [],
    endedAt: null,
  };
}

/** Readings each 5 min over days [from, to). */
export function readings(from: number, to: number, tempAt: (day: number) => number) {
  const count = Math.round(((to - from) * dayMs) / stepMs);
  const t = Float64Array.from({ length: count }, (_, index) => at(from) + index * stepMs + 60_000);
  return { t, value: t.map((one) => tempAt((one - start) / dayMs)) };
}

/** An engine whose measured shelf has had this air for `days`. */
export function engineWith(batches: BatchState[], tempAt: (day: number) => number, days = 30): Engine {
  const engine = createEngine();
  engine.setFarm(farm);
  const { t, value } = readings(-3, days, tempAt);
  engine.addReadings('on-a1.temperature', t, value);
  engine.setBatches(batches);
  return engine;
}

/** Days since the start. */
export const dayOf = (t: EpochMs): number => (t - start) / dayMs;

/** What is believed where the strain of `batchOf` is well known, so that what air and core leave open shows. */
export const wellKnown: Beliefs = {
  strains: [
    {
      strain: 'oyster-one',
      way: null,
      belief: { ...firstBelief, covariance: firstBelief.covariance.map((value) => value / 25) },
    },
  ],
  people: [],
};
