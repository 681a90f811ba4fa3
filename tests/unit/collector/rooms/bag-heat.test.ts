import { describe, expect, it, onTestFinished } from 'vitest';
import { createKinds } from '../../../../collector/forecast/kind.ts';
import { migrations } from '../../../../collector/main.ts';
import { heatOfBatch, hourOf, shelfAtTime } from '../../../../collector/rooms/bag-heat.ts';
import {
  createHeatBoard,
  type HeatBoard,
  type HeatBoardNeeds,
} from '../../../../collector/rooms/heat-board.ts';
import { createStoreHistory } from '../../../../collector/store/history.ts';
import { openDatabase } from '../../../../collector/store/open-database.ts';
import { createReadingsLog } from '../../../../collector/store/readings-log.ts';
import type { BatchState } from '../../../../shared/batches.ts';
import { buildFarm } from '../../../../shared/farm/farm.ts';
import { firstBelief } from '../../../../shared/growth/belief.ts';
import { unknownEye } from '../../../../shared/growth/look.ts';
import { growHeatWPerKg, keepHeatWPerKg } from '../../../../shared/growth/own-heat.ts';
import { builtInSpecies } from '../../../../shared/growth/species.ts';
import { createManualClock } from '../../../../shared/manual-clock.ts';
import type { Reading } from '../../../../shared/readings.ts';
import { hourMs, minuteMs } from '../../../../shared/time.ts';
import { atOnce } from '../../../tools/at-once.ts';
import { at, type BatchOptions, batchOf, farm as file } from '../../forecast/farm.ts';

const farm = buildFarm(file, builtInSpecies);
const kindOf = createKinds(farm);
const wetKg = 3 * 2.6;

/** Heat of the one cohort of a batch, each hour of 40 days [W]. */
function heatOf(options: BatchOptions, airC = (_: string | null, __: number) => 26): Float64Array {
  const batch = batchOf(options);
  const kind = kindOf(batch);
  if (typeof kind === 'string') throw new Error(kind);
  const believed = { belief: firstBelief, eyeOf: () => unknownEye };
  return atOnce(heatOfBatch({ batch, kind, ...believed }, hourOf(at(40)), airC))[0]!.heatW;
}
const dayOfMost = (heatW: Float64Array): number => heatW.indexOf(Math.max(...heatW)) / 24;
const sumOf = (values: Float64Array): number => values.reduce((sum, value) => sum + value, 0);
const spawned = { way: 'grain-to-grain', partsPerSpawn: 10 } as const;

describe('heat that bags of a batch give', () => {
  it('is all that growing through sets free and all that keeping takes, whatever the way there', () => {
    const kept = (heatW: Float64Array) => {
      // At 26 °C mycelium that has grown through is at nearly its full pace.
      const late = heatW.subarray(-24);
      return sumOf(late) / 24 / wetKg;
    };
    for (const options of [{ inoculation: spawned }, { inoculation: spawned, shakes: [4] }]) {
      const heatW = heatOf(options);
      expect(kept(heatW)).toBeGreaterThan(0.9 * keepHeatWPerKg);
      expect(kept(heatW)).toBeLessThanOrEqual(keepHeatWPerKg);
      const givenJPerKg = (3600 * sumOf(heatW)) / wetKg;
      const growingJPerKg = 86_400 * growHeatWPerKg;
      expect(givenJPerKg).toBeGreaterThan(growingJPerKg);
      expect(givenJPerKg).toBeLessThan(growingJPerKg + 40 * 86_400 * keepHeatWPerKg);
    }
  });
  it('rises and falls with the run, sooner where looks say so, later where it is cool', () => {
    const plain = heatOf({ inoculation: spawned });
    expect(plain[0]! / wetKg).toBeLessThan(0.01);
    expect(Math.max(...plain)).toBeGreaterThan(2 * plain.at(-1)!);
    const day = dayOfMost(plain);
    const looks = (part: number) => dayOfMost(heatOf({ inoculation: spawned, checks: [[day, part]] }));
    expect(looks(0.95)).toBeLessThan(day);
    expect(looks(0.1)).toBeGreaterThan(day);
    expect(dayOfMost(heatOf({ inoculation: spawned }, () => 18))).toBeGreaterThan(1.3 * day);
    expect(Math.max(...heatOf({}, () => 2))).toBe(0);
  });
  it('ends with the hour in which they leave', () => {
    const batch = batchOf({ inoculation: spawned });
    const gone: BatchState = {
      ...batch,
      cohorts: [{ ...batch.cohorts[0]!, left: { t: at(9) + 10, how: 'used', reason: '' } }],
    };
    const kind = kindOf(gone);
    if (typeof kind === 'string') throw new Error(kind);
    const believed = { belief: firstBelief, eyeOf: () => unknownEye };
    const [heat] = atOnce(heatOfBatch({ batch: gone, kind, ...believed }, hourOf(at(40)), () => 26));
    expect(heat!.heatW).toHaveLength(9 * 24 + 1);
    expect(shelfAtTime(heat!.cohort, at(9))).toBe('A1');
    expect(shelfAtTime(heat!.cohort, at(9) + 10)).toBeNull();
  });
});

function board(batches: BatchState[], more: Partial<HeatBoardNeeds> & { days?: number } = {}) {
  const clock = { now: at(more.days ?? 10) + 0.4 * hourMs };
  const problems: unknown[] = [];
  const read: { id: string; hours: number }[] = [];
  let pauses = 0;
  const its = createHeatBoard({
    ...{ now: () => clock.now, farm: () => farm, beliefs: () => ({ strains: [], people: [] }) },
    history: {
      readMinutes(id, from, until) {
        read.push({ id, hours: (until - from) / hourMs });
        const t = Float64Array.from({ length: (until - from) / hourMs }, (_, hour) => from + hour * hourMs);
        return { t, mean: t.map(() => 26), count: t.map(() => 1) } as never;
      },
    },
    bags: { batches: () => batches, wholeBatch: (id) => batches.find((batch) => batch.id === id) },
    pause: async () => void pauses++,
    onProblem: (thrown) => problems.push(thrown),
    ...more,
  });
  return { its, clock, problems, read, pauses: () => pauses };
}

describe('heat of bags by room', () => {
  it('is where they stood, hour by hour, and is not known before it was looked at', async () => {
    const { its } = board([
      batchOf({ inoculation: spawned, moves: [[5, 'D1']] }),
      batchOf({ id: 'b2', inoculation: spawned, shelf: null }),
    ]);
    expect(its.atW('warm', at(4))).toBeNull();
    await its.look();
    const own = heatOf({ inoculation: spawned });
    expect(its.atW('warm', at(4.5))).toBeCloseTo(own[4.5 * 24]!, 1);
    expect(its.atW('dark', at(4.5))).toBe(0);
    expect(its.atW('warm', at(5))).toBe(0);
    expect(its.atW('dark', at(5))).toBeGreaterThan(0.5 * own[5 * 24]!);
    expect(its.atW('dark', at(-1))).toBe(0);
  });
  it('counts what stands there now, holds it until the next look, and says nothing of longer ahead or far behind', async () => {
    const { its, clock } = board([batchOf({ inoculation: spawned, moves: [[10 + 0.1 / 24, 'D1']] })]);
    await its.look();
    expect(its.atW('warm', clock.now)).toBe(0);
    const now = its.atW('dark', clock.now)!;
    expect(now).toBeGreaterThan(0);
    expect(its.atW('dark', clock.now + hourMs)).toBe(now);
    expect(its.atW('dark', clock.now + 5 * hourMs)).toBeNull();
    expect(its.atW('dark', at(-40))).toBeNull();
    expect(its.atW('no such room', clock.now)).toBeNull();
  });
  it('reads the past in days, with a pause after each, and later only what came since', async () => {
    const { its, clock, read, pauses } = board([batchOf({ inoculation: spawned })]);
    await its.look();
    expect(read.length).toBeGreaterThan(59);
    expect(Math.max(...read.map(({ hours }) => hours))).toBe(24);
    expect(new Set(read.map(({ id }) => id))).toEqual(new Set(['in-warm.temperature']));
    expect(pauses()).toBeGreaterThan(read.length + 8);
    read.splice(0);
    clock.now += hourMs;
    await its.look();
    expect(read).toEqual([{ id: 'in-warm.temperature', hours: 2 }]);
  });
  it('leaves out bags whose strain is no longer of the farm, and batches that were over long ago', async () => {
    const unknown = batchOf({ id: 'b2', strain: 'sold-off', inoculation: spawned });
    const over = batchOf({ id: 'b3', inoculation: spawned });
    const long: BatchState = {
      ...over,
      cohorts: [{ ...over.cohorts[0]!, left: { t: at(20), how: 'used', reason: '' } }],
      endedAt: at(20),
    };
    const { its, problems } = board([unknown, long], { days: 60 });
    await its.look();
    expect(its.atW('warm', at(59))).toBe(0);
    expect(problems).toEqual([]);
    const soon = board([unknown, long], { days: 30 });
    await soon.its.look();
    expect(soon.its.atW('warm', at(19))).toBeGreaterThan(0);
    expect(soon.its.atW('warm', at(29))).toBe(0);
  });
  it('goes by readings that come days late, and by those that come while it is worked out, as if they had been there', async () => {
    const clock = createManualClock(at(10));
    const database = openDatabase({ file: ':memory:', migrations, clock });
    onTestFinished(() => void database.close());
    const log = createReadingsLog(database);
    const history = createStoreHistory(database);
    const warm = (from: number, until: number, tempC: number): Reading[] =>
      Array.from({ length: (until - from) * 24 * 4 }, (_, k) => at(from) + k * 15 * minuteMs).map((t) => ({
        ...{ channel: 'in-warm.temperature', t, value: tempC, raw: tempC },
        ...{ quality: 'good', retained: false, receivedAt: clock.now() },
      }));
    log.append([...warm(-2, 3, 26), ...warm(6, 10, 26)]);
    const gone = batchOf({ id: 'b2', inoculation: spawned });
    const batches: BatchState[] = [
      batchOf({ inoculation: spawned }),
      {
        ...gone,
        cohorts: [{ ...gone.cohorts[0]!, left: { t: at(8), how: 'used', reason: '' } }],
        endedAt: at(8),
      },
    ];
    let meanwhile = (): void => {};
    const { its } = board(batches, { history, pause: async () => meanwhile() });
    const heat = (of: HeatBoard): number[] =>
      Array.from({ length: 240 }, (_, hour) => of.atW('warm', at(hour / 24))!);
    const anew = async (): Promise<number[]> => {
      const { its: other } = board(batches, { history });
      await other.look();
      return heat(other);
    };
    await its.look();
    expect(heat(its)).toEqual(await anew());

    const before = heat(its);
    its.noteAir(log.append(warm(3, 5, 12)));
    meanwhile = () => {
      meanwhile = () => {};
      its.noteAir(log.append(warm(5, 6, 12)));
    };
    await its.look();
    await its.look();
    const after = heat(its);
    // Three days in the cold, and they are still growing where they were through.
    expect(after[7 * 24]!).toBeGreaterThan(2 * before[7 * 24]!);
    expect(after).toEqual(await anew());
  });
  it('that cannot be worked out is told, and is as good as not known', async () => {
    const { its, problems } = board([], {
      bags: {
        batches() {
          throw new Error('disk I/O error');
        },
        wholeBatch: () => undefined,
      },
    });
    await its.look();
    expect(problems).toEqual([new Error('disk I/O error')]);
    expect(its.atW('warm', at(4))).toBeNull();
  });
});
