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

const farm = buildFarm(
  farmFile.parse({
    site: { id: 'north', name: 'North', timeZone: 'UTC' },
    rooms: [
      { id: 'lab', name: 'Lab' },
      { id: 'store', name: 'Store' },
    ],
    sensors: ['outside', 'lab'].map((at) => ({
      ...{ id: at, topic: at, decoder: 'plain', at },
      channels: [{ quantity: 'temperature', unit: 'degC' }],
    })),
    containers: [block],
  }),
  [],
);
const start = Date.UTC(2026, 4, 25, 9, 20);
const hour = Math.floor(start / hourMs) * hourMs;
const quarter = (from: number, until: number, of: (t: number) => number): Minutes => {
  const t = Float64Array.from(
    { length: Math.ceil((until - from) / (15 * minuteMs)) },
    (_, k) => from + k * 15 * minuteMs,
  );
  return { t, mean: t.map(of), count: t.map(() => 15) } as unknown as Minutes;
};

function site({ taught = true } = {}) {
  const told: RoomDepartures[] = [];
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
        return quarter(from, until, () => 15);
      },
    },
    tell: (departures) => told.push(departures),
    onProblem: (thrown) => {
      throw thrown;
    },
  });
  return { explaining, told, loads, clock, asked };
}

describe('what forecasts are told of rooms that taught what they are', () => {
  it('is their past once, then only what is running and lies ahead; of other rooms nothing', () => {
    const { explaining, told, clock, asked } = site();
    explaining.look();
    clock.now += hourMs;
    explaining.look();
    expect(told.map(({ room, from }) => [room, from])).toEqual([
      ['lab', hour - 17 * dayMs],
      ['lab', hour + hourMs],
    ]);
    expect(told.map(({ departureK }) => departureK.length)).toEqual([17 * 24 + 96, 96]);
    expect(told[0]!.departureK.slice(-96, -1).every((k) => Math.abs(k) < 3)).toBe(true);
    expect(new Set(asked)).toEqual(new Set(['outside.temperature']));
    const untaught = site({ taught: false });
    untaught.explaining.look();
    expect(untaught.told).toEqual([]);
  });
  it('is told anew when a load comes in, in the running hour too', () => {
    const { explaining, told, loads, clock } = site();
    explaining.look();
    loads.push({
      ...{ room: 'lab', at: start + 5 * minuteMs, endedAt: null, container: block.id, count: 120 },
      ...{ startC: 95, fan: false, cores: [] },
    });
    clock.now += 6 * minuteMs;
    explaining.look();
    const [before, after] = told as [RoomDepartures, RoomDepartures];
    const ahead = before.departureK.slice(-96);
    expect(after.from).toBe(hour);
    expect(after.departureK[0]! - ahead[0]!).toBeGreaterThan(0.05);
    expect(Math.max(...after.departureK.map((k, n) => k - ahead[n]!))).toBeGreaterThan(0.5);
    expect(after.departureK.at(-1)! - ahead.at(-1)!).toBeLessThan(0.1);
  });
  it('is told whole again to a forecaster that knows nothing', () => {
    const { explaining, told } = site();
    explaining.look();
    explaining.again();
    expect(told[1]).toEqual(told[0]);
  });
});
