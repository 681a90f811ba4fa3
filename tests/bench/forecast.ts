import { setFlagsFromString } from 'node:v8';
import { runInNewContext } from 'node:vm';
import { createEngine } from '../../collector/forecast/engine.ts';
import { particleCount } from '../../collector/forecast/particles.ts';
import type { BatchState } from '../../shared/batches.ts';
import { type FarmFile, farmFile } from '../../shared/farm/schema.ts';
import { hourMs, minuteMs } from '../../shared/time.ts';
import { at, batchOf, farm } from '../unit/forecast/farm.ts';
import type { Figure } from './figure.ts';
import { flatMinute } from './flat-forecast.ts';

const cohorts = Number(process.env.SHELFWARDEN_BENCH_COHORTS ?? 10_000);
const shelves = 200;
const minutes = Number(process.env.SHELFWARDEN_BENCH_MINUTES ?? 30);

/** Rooms of ten measured shelves each. */
const hall: FarmFile = farmFile.parse({
  site: farm.site,
  rooms: Array.from({ length: shelves / 10 }, (_, room) => ({
    id: `room${room}`,
    name: `Room ${room}`,
    racks: [{ id: `R${room}`, shelves: Array.from({ length: 10 }, (_, i) => ({ id: `A${10 * room + i}` })) }],
  })),
  sensors: Array.from({ length: shelves }, (_, i) => ({
    id: `s${i}`,
    topic: `t/s${i}`,
    decoder: 'plain',
    at: `A${i}`,
    channels: [{ quantity: 'temperature', unit: 'degC' }],
  })),
  containers: farm.containers,
  strains: farm.strains,
});

const first = at(8);
const airAt = (shelf: number, t: number): number =>
  23 + 0.01 * shelf + Math.sin((2 * Math.PI * t) / (24 * hourMs));

function batches(): BatchState[] {
  return Array.from({ length: cohorts }, (_, i) =>
    batchOf({
      id: `b${i}`,
      shelf: `A${i % shelves}`,
      madeDay: 5 + 2.5 * ((i * 0.618) % 1),
      strain: i % 3 === 0 ? 'quick-reishi' : 'oyster-one',
      checks: i % 20 === 0 ? [[7.5, 0.05]] : [],
    }),
  );
}

const cpuMs = (since: NodeJS.CpuUsage): number => {
  const { user, system } = process.cpuUsage(since);
  return (user + system) / 1000;
};
setFlagsFromString('--expose-gc');
const collectGarbage = runInNewContext('gc') as () => void;
/** What is held, once nothing lies about that is held no longer. */
const heldMb = (): number => {
  collectGarbage();
  const { heapUsed, external } = process.memoryUsage();
  return (heapUsed + external) / 2 ** 20;
};

/** One new minute of air for all cohorts, a reading that comes 6 h late, and the same arithmetic in one flat loop. */
export async function run(): Promise<Figure[]> {
  const engine = createEngine();
  engine.setFarm(hall);
  const reading = (shelf: number, t: number): void =>
    engine.addReadings(`s${shelf}.temperature`, [t], [airAt(shelf, t)]);
  const days = 6;
  const past = Float64Array.from({ length: days * 288 }, (_, i) => first - (days * 288 - i) * 5 * minuteMs);
  for (let shelf = 0; shelf < shelves; shelf++)
    engine.addReadings(
      `s${shelf}.temperature`,
      past,
      past.map((t) => airAt(shelf, t)),
    );
  engine.setBatches(batches(), true);
  engine.advance(first);

  const minute = (number: number): { ms: number; forecasts: number } => {
    const t = first + number * minuteMs;
    for (let shelf = 0; shelf < shelves; shelf++) reading(shelf, t - 1000);
    const since = process.cpuUsage();
    const { forecasts } = engine.advance(t);
    return { ms: cpuMs(since), forecasts: forecasts.length };
  };
  // The first steps after a start also make what is kept from then on.
  for (let number = 1; number <= 20; number++) minute(number);
  const memoryBefore = heldMb();
  const costs = Array.from({ length: minutes }, (_, index) => minute(21 + index));
  const memoryAfter = heldMb();
  const mean = costs.reduce((sum, { ms }) => sum + ms, 0) / minutes;
  const worst = Math.max(...costs.map(({ ms }) => ms));

  const flat = flatMinute(cohorts, particleCount);
  const now = first + (20 + minutes) * minuteMs;
  const before = engine.work();
  engine.addReadings('s7.temperature', [now - 6 * hourMs], [24]);
  const since = process.cpuUsage();
  engine.advance(now);
  const lateMs = cpuMs(since);
  const steps = engine.work() - before;
  const touched = cohorts / shelves;

  const name = (text: string) => `${text}, ${cohorts} cohorts x ${particleCount} particles`;
  return [
    {
      name: name('a minute of air, mean'),
      value: mean,
      unit: 'ms of a core',
      baseline: flat,
      ratio: mean / flat,
      goal: '<= 1000',
      holds: mean <= 1000,
    },
    {
      name: name('the worst minute'),
      value: worst,
      unit: 'ms of a core',
      baseline: flat,
      ratio: worst / flat,
      goal: '<= 1000',
      holds: worst <= 1000,
    },
    {
      name: `memory gained over ${minutes} minutes`,
      value: memoryAfter - memoryBefore,
      unit: 'MB',
      baseline: memoryBefore,
      ratio: memoryAfter / memoryBefore,
      goal: 'ratio <= 1.05',
      holds: memoryAfter <= 1.05 * memoryBefore,
    },
    {
      name: 'a reading 6 h late on one shelf of 200',
      value: lateMs,
      unit: 'ms of a core',
      baseline: null,
      ratio: null,
      goal: null,
      holds: null,
    },
    {
      name: 'steps run again for it, per cohort of that shelf (12 an hour)',
      value: steps / touched,
      unit: 'steps',
      baseline: 72,
      ratio: steps / touched / 72,
      goal: '<= 145',
      holds: steps / touched <= 145,
    },
  ];
}
