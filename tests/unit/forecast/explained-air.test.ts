import { describe, expect, it } from 'vitest';
import { createEngine } from '../../../collector/forecast/engine.ts';
import { createExplainedAir } from '../../../collector/forecast/explained-air.ts';
import { futureOf } from '../../../collector/forecast/future.ts';
import { newDayProfile } from '../../../shared/air/day-profile.ts';
import { hourMs } from '../../../shared/time.ts';
import { at, batchOf, farm, readings, start } from './farm.ts';

const hour = start / hourMs;
const told = (fromHour: number, ...departureK: number[]) => ({
  ...{ room: 'warm', from: (hour + fromHour) * hourMs, departureK },
});

describe('what was told of departures', () => {
  it('is 0 where nothing was, and stays for hours before those told anew', () => {
    const air = createExplainedAir();
    expect(air.at(start)).toBe(0);
    expect(air.tell(told(0, 1, 2, 3))).toBe(hour);
    expect(air.tell(told(2, 5, 6))).toBe(hour + 2);
    expect([-1, 0, 1, 2, 3, 4].map((n) => air.atHour(hour + n))).toEqual([0, 1, 2, 5, 6, 0]);
    expect(air.at(start + 1.5 * hourMs)).toBe(2);
    expect(air.tell(told(2, 5, 6))).toBe(Number.POSITIVE_INFINITY);
    expect(air.tell(told(6, 7))).toBe(hour + 6);
    expect([4, 5, 6].map((n) => air.atHour(hour + n))).toEqual([0, 0, 7]);
    expect(air.tell(told(-2, 1))).toBe(hour - 2);
    expect([-2, 0, 6].map((n) => air.atHour(hour + n))).toEqual([1, 0, 0]);
  });
  it('lies on top of the air to expect in its own hours, below it too', () => {
    const air = createExplainedAir();
    const plain = futureOf(newDayProfile(), start);
    expect(air.onTop(plain, start)).toBe(plain);
    air.tell(told(-2, 9, 9, -1, -1, 2, 2));
    const { tempC } = air.onTop(plain, start);
    expect([0, 1, 2].map((row) => tempC[row]! - plain.tempC[row]!)).toEqual([-1, 2, 0]);
    air.dropBefore(start + 2 * hourMs);
    expect([0, 2].map((n) => air.atHour(hour + n))).toEqual([0, 2]);
  });
});

describe('an engine that is told what a room explains', () => {
  /** Four days at 22 °C but for an afternoon that was 4 K warmer, on the day before the last. */
  const warmed = (days: number) => (days >= 2.5 && days < 2.75 ? 26 : 22);
  const engineTold = (departures: number[] | null) => {
    const engine = createEngine();
    engine.setFarm(farm);
    engine.setBatches([batchOf({ shelf: 'A2' })], true);
    const { t, value } = readings(0, 4, warmed);
    engine.addReadings('in-warm.temperature', t, value);
    if (departures !== null) engine.setDepartures({ room: 'warm', from: start, departureK: departures });
    const forecasts = engine.advance(at(4)).forecasts;
    const { points } = engine.shelfAir({ shelf: 'A2', from: at(4), to: at(6), maxPoints: 96 })!;
    return { engine, forecasts, airAt: (day: number) => points.find(({ t }) => t >= at(day))!.tempC };
  };
  /** An afternoon that the model knew of, and one to come. */
  const explained = Array.from({ length: 192 }, (_, h) =>
    (h >= 60 && h < 66) || (h >= 108 && h < 114) ? 4 : 0,
  );

  it('forecasts as before where there is nothing to explain', () => {
    expect(engineTold(new Array<number>(192).fill(0)).forecasts).toEqual(engineTold(null).forecasts);
  });
  it('no longer takes a known afternoon for a usual one, and counts on the one that comes', () => {
    const [plain, knowing] = [engineTold(null), engineTold(explained)];
    expect(plain.airAt(5.6)).toBeGreaterThan(22.3);
    expect(knowing.airAt(5.6)).toBeCloseTo(22, 1);
    expect(knowing.airAt(4.6)).toBeCloseTo(26, 1);
    const likely = ({ forecasts }: typeof plain) => forecasts[0]!.ready.at!.likely;
    expect(likely(knowing)).not.toBe(likely(plain));
  });
  it('comes to the same when it is told after it has learned the days', () => {
    const late = engineTold(null).engine;
    late.setDepartures({ room: 'warm', from: start, departureK: explained });
    late.setBatches([batchOf({ shelf: 'A2' })], true);
    expect(late.advance(at(4)).forecasts).toEqual(engineTold(explained).forecasts);
  });
  it('of a room that is not there nothing happens', () => {
    const { engine } = engineTold(null);
    engine.setDepartures({ room: 'moon', from: start, departureK: [1] });
    expect(engine.advance(at(4)).problems).toEqual([]);
  });
});
