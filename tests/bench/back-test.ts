import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { performance } from 'node:perf_hooks';
import { setImmediate as nextTurn } from 'node:timers/promises';
import { backTest } from '../../alerts/tuning/back-test.ts';
import { createStoreHistory } from '../../collector/store/history.ts';
import { storeMigrations } from '../../collector/store/migrations.ts';
import { openDatabase } from '../../collector/store/open-database.ts';
import { createReadingsLog } from '../../collector/store/readings-log.ts';
import { buildFarm } from '../../shared/farm/farm.ts';
import type { LimitBand } from '../../shared/farm/limits-schema.ts';
import { farmFile } from '../../shared/farm/schema.ts';
import { createManualClock } from '../../shared/manual-clock.ts';
import type { Reading } from '../../shared/readings.ts';
import { dayMs, hourMs, minuteMs } from '../../shared/time.ts';
import { createRandom } from '../tools/random.ts';
import type { Figure } from './figure.ts';

const channels = 50;
const days = 30;
const from = Date.UTC(2026, 4, 2);
const to = from + days * dayMs;
/** Hours from the start at which a cooler fails for some hours. */
const failures = [60, 250, 251.5, 470, 640];

const farmWith = (temperature: LimitBand) =>
  buildFarm(
    farmFile.parse({
      site: { id: 'bench', name: 'Bench', timeZone: 'Europe/Dublin' },
      rooms: [{ id: 'warm', name: 'Warm room', limits: { temperature } }],
      sensors: Array.from({ length: channels }, (_, n) => ({
        ...{ id: `s${n}`, topic: `s/${n}`, decoder: 'plain', at: 'warm', everyS: 60 },
        channels: [{ quantity: 'temperature', unit: 'degC' }],
      })),
    }),
    [],
  );

/** A room at 25 °C with a daily swing, sensor noise, and some failed coolers. */
function* month(): Generator<Reading[]> {
  const random = createRandom(7);
  for (let t = from; t < to; t += minuteMs) {
    const hours = (t - from) / hourMs;
    let base = 25 + Math.sin((2 * Math.PI * hours) / 24);
    for (const start of failures)
      if (hours > start) base += 5 * Math.max(0, 1 - Math.abs(hours - start - 3) / 3);
    yield Array.from({ length: channels }, (_, n) => {
      const value = Math.round((base + 0.02 * n + 0.15 * random.normal()) * 10) / 10;
      return {
        channel: `s${n}.temperature`,
        t,
        value,
        raw: value,
        quality: 'good',
        retained: false,
        receivedAt: t,
      };
    });
  }
}

/** How long a back-test of a month of 50 channels, a reading a minute each, takes on one core. */
export async function run(): Promise<Figure[]> {
  const folder = mkdtempSync(join(tmpdir(), 'back-test-'));
  try {
    const database = openDatabase({
      ...{ file: join(folder, 'site.sqlite'), synchronous: 'NORMAL', migrations: storeMigrations },
      clock: createManualClock(from),
    });
    const log = createReadingsLog(database);
    let batch: Reading[] = [];
    for (const minute of month()) {
      batch.push(...minute);
      if (batch.length < 50_000) continue;
      log.append(batch);
      batch = [];
    }
    log.append(batch);
    while (log.settle(100_000) > 0);

    const recorded = createStoreHistory(database);
    const times: number[] = [];
    const processor: number[] = [];
    let longestTurnMs = 0;
    let turn = performance.now();
    const pause = async () => {
      longestTurnMs = Math.max(longestTurnMs, performance.now() - turn);
      await nextTurn();
      turn = performance.now();
    };
    let last: Awaited<ReturnType<typeof backTest>> | undefined;
    for (let round = 0; round < 5; round += 1) {
      const started = performance.now();
      const before = process.cpuUsage();
      turn = started;
      last = await backTest({
        now: farmWith({ low: 20, high: 28 }),
        changed: farmWith({ low: 20, high: 27.5, deadband: 0.5 }),
        ...{ at: 'warm', measure: 'temperature', from, to, recorded, held: [], pause },
      });
      times.push(performance.now() - started);
      const { user, system } = process.cpuUsage(before);
      processor.push((user + system) / 1e6);
    }
    database.close();
    times.sort((a, b) => a - b);
    processor.sort((a, b) => a - b);
    const seconds = times[2]! / 1_000;
    const plain = { baseline: null, ratio: null };
    return [
      {
        ...{ name: 'back-test, month x 50 channels', value: seconds, unit: 's', goal: '<= 2', ...plain },
        holds: seconds <= 2,
      },
      { name: 'processor time of it', value: processor[2]!, unit: 's', goal: null, holds: null, ...plain },
      { name: 'longest turn of it', value: longestTurnMs, unit: 'ms', goal: null, holds: null, ...plain },
      { name: 'readings kept', value: channels * days * 1440, unit: '', goal: null, holds: null, ...plain },
      {
        name: 'readings replayed, both runs',
        value: last!.readings,
        unit: '',
        goal: null,
        holds: null,
        ...plain,
      },
      {
        ...{ name: 'alarms as now', value: last!.now.episodes.length, unit: '', goal: '>= 4', ...plain },
        holds: last!.now.episodes.length >= 4,
      },
    ];
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}
