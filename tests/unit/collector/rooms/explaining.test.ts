import { describe, expect, it } from 'vitest';
import type { RoomDepartures } from '../../../../collector/forecast/explained-air.ts';
import { createExplaining } from '../../../../collector/rooms/explaining.ts';
import type { RecordedLoad } from '../../../../collector/rooms/past.ts';
import type { Minutes } from '../../../../collector/store/history.ts';
import { buildFarm } from '../../../../shared/farm/farm.ts';
import { farmFile } from '../../../../shared/farm/schema.ts';
import { dayMs, hourMs, minuteMs } from '../../../../shared/time.ts';
import { knows, livedFit } from '../../../tools/lived-room.ts';
import { block } from '../../../tools/plan-question.ts';

const farmWith = (outside: readonly string[]) =>
  buildFarm(
    farmFile.parse({
      site: { id: 'north', name: 'North', timeZone: 'UTC' },
      rooms: [
        { id: 'lab', name: 'Lab' },
        { id: 'store', name: 'Store' },
      ],
      sensors: [...outside, 'lab'].map((id) => ({
        ...{ id, topic: id, decoder: 'plain', at: id === 'lab' ? id : 'outside' },
        channels: [{ quantity: 'temperature', unit: 'degC' }],
      })),
      containers: [block],
    }),
    [],
  );
const start = Date.UTC(2026, 4, 25, 9, 20);
const hour = Math.floor(start / hourMs) * hourMs;
const quarter = (from: number, until: number, of: (t: number) => number | null): Minutes => {
  const points = Array.from(
    { length: Math.ceil((until - from) / (15 * minuteMs)) },
    (_, k) => from + k * 15 * minuteMs,
  ).flatMap((t) => (of(t) === null ? [] : [{ t, mean: of(t)! }]));
  return {
    t: Float64Array.from(points, ({ t }) => t),
    mean: Float64Array.from(points, ({ mean }) => mean),
    count: Float64Array.from(points, () => 15),
  } as unknown as Minutes;
};

function site({
  taught = true,
  outside = ['outside'],
  outsideC = (): number | null => 15,
  pause = async () => {},
}: {
  taught?: boolean;
  outside?: string[];
  outsideC?: (channel: string, t: number) => number | null;
  pause?: () => Promise<void>;
} = {}) {
  const farm = farmWith(outside);
  const told: RoomDepartures[] = [];
  const toldAt = new Map<string, number>();
  const loads: RecordedLoad[] = [];
  const clock = { now: start };
  const asked: string[] = [];
  const explaining = createExplaining({
    now: () => clock.now,
    farm: () => farm,
    known: { ...knows(null), fitAt: (room) => (room === 'lab' && taught ? livedFit : null) },
    loads: () => loads,
    history: {
      readMinutes(id, from, until) {
        asked.push(id);
        return quarter(from, until, (t) => outsideC(id, t));
      },
    },
    learnedAt: () => start - 6 * hourMs,
    toldAt: (room) => toldAt.get(room) ?? null,
    tell(departures) {
      told.push(departures);
      toldAt.set(departures.room, clock.now);
    },
    pause,
    onProblem: (thrown) => {
      throw thrown;
    },
  });
  return { explaining, told, loads, clock, asked };
}

describe('what forecasts are told of rooms that taught what they are', () => {
  it('is their past once, then only what is running and lies ahead; of other rooms nothing', async () => {
    const { explaining, told, clock, asked } = site();
    await explaining.look();
    clock.now += hourMs;
    await explaining.look();
    expect(told.map(({ room, from }) => [room, from])).toEqual([
      ['lab', hour - 17 * dayMs],
      ['lab', hour + hourMs],
    ]);
    expect(told.map(({ departureK }) => departureK.length)).toEqual([17 * 24 + 96, 96]);
    expect(told[0]!.departureK.slice(-96, -1).every((k) => Math.abs(k) < 3)).toBe(true);
    expect(new Set(asked)).toEqual(new Set(['outside.temperature']));
    const untaught = site({ taught: false });
    await untaught.explaining.look();
    expect(untaught.told).toEqual([]);
  });
  it('is told anew when a load comes in, in the running hour too', async () => {
    const { explaining, told, loads, clock } = site();
    await explaining.look();
    loads.push({
      ...{ room: 'lab', at: start + 5 * minuteMs, endedAt: null, container: block.id, count: 120 },
      ...{ startC: 95, fan: false, cores: [] },
    });
    clock.now += 6 * minuteMs;
    await explaining.look();
    const [before, after] = told as [RoomDepartures, RoomDepartures];
    const ahead = before.departureK.slice(-96);
    expect(after.from).toBe(hour);
    expect(after.departureK[0]! - ahead[0]!).toBeGreaterThan(0.05);
    expect(Math.max(...after.departureK.map((k, n) => k - ahead[n]!))).toBeGreaterThan(0.5);
    expect(after.departureK.at(-1)! - ahead.at(-1)!).toBeLessThan(0.1);
  });
  it('is told of the hours that it was away, and of those before as it was', async () => {
    const { explaining, told, clock } = site();
    await explaining.look();
    clock.now += 7 * hourMs;
    await explaining.look();
    expect(told[1]!.from).toBe(hour + hourMs);
    expect(told[1]!.departureK.length).toBe(6 + 96);
    clock.now += 40 * dayMs;
    await explaining.look();
    expect(told[2]!.departureK.length).toBe(17 * 24 + 96);
  });
  it('is worked out in turns, looked at once more when something happens meanwhile, and not told once it is over', async () => {
    let turns = 0;
    const { explaining, told, loads, clock } = site({
      pause: async () => {
        turns += 1;
        if (turns === 30)
          loads.push({
            ...{ room: 'lab', at: start, endedAt: null, container: block.id, count: 120 },
            ...{ startC: 95, fan: false, cores: [] },
          });
        if (turns === 30) void explaining.look();
      },
    });
    await explaining.look();
    // Days that are read and run through, and seven of each of the sixteen rooms that it may be.
    expect(turns).toBeGreaterThan(2 * 16 * 7);
    expect(told.length).toBe(2);
    const [before, after] = told as [RoomDepartures, RoomDepartures];
    expect(after.departureK[1]! - before.departureK.slice(-96)[1]!).toBeGreaterThan(0.05);
    clock.now += hourMs;
    void explaining.look();
    await explaining.close();
    expect(told.length).toBe(2);
  });
  it('is steady when one of two sensors outside falls silent, whichever of them stands in the sun', async () => {
    // 4 K apart, and both speak until six hours before.
    const told = async (silent: string | null): Promise<number[]> => {
      const { explaining, told } = site({
        outside: ['outside', 'sunny'],
        outsideC: (id, t) =>
          id.startsWith(silent ?? 'none') && t > hour - 6 * hourMs ? null : id.startsWith('sunny') ? 21 : 17,
      });
      await explaining.look();
      return told[0]!.departureK.slice(-100);
    };
    const both = await told(null);
    expect(Math.max(...both.map(Math.abs))).toBeGreaterThan(0.1);
    for (const silent of ['outside', 'sunny'])
      (await told(silent)).forEach((k, at) => {
        expect(k).toBeCloseTo(both[at]!, 2);
      });
  });
});
