import { describe, expect, it } from 'vitest';
import { createEngine } from '../../../collector/forecast/engine.ts';
import { createExplainedAir } from '../../../collector/forecast/explained-air.ts';
import { futureOf } from '../../../collector/forecast/future.ts';
import { newDayProfile } from '../../../shared/air/day-profile.ts';
import { hourMs } from '../../../shared/time.ts';
import { at, batchOf, farm, readings, start, wellKnown } from './farm.ts';

const hour = start / hourMs;
const told = (fromHour: number, ...departureK: number[]) => ({
  ...{ room: 'warm', from: (hour + fromHour) * hourMs, departureK, sdK: departureK.map(() => 0) },
});
const unsure = (fromHour: number, ...sdK: number[]) => ({ ...told(fromHour, ...sdK.map(() => 0)), sdK });

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

describe('how unsure that is', () => {
  const plain = futureOf(newDayProfile(), start);

  it('is told of each hour, goes on as on the last day told of, and ends when nobody tells any more', () => {
    const air = createExplainedAir();
    air.tell(unsure(0, 0.1, ...new Array<number>(24).fill(0.4)));
    const sdAt = (hours: number, known = 0) => air.sdAt(start + hours * hourMs, start + known * hourMs);
    expect([0.5, 1, 24, 25, 500].map((hours) => sdAt(hours))).toEqual([
      ...[0.1, 0.4, 0.4].map((sd) => expect.closeTo(sd, 9)),
      ...[0.4, 0.4].map((sd) => expect.closeTo(sd, 9)),
    ]);
    expect(sdAt(30, 25)).toBe(0);
    expect(air.tell(unsure(3, 0.5))).toBe(hour + 3);
    expect([2, 3].map((hours) => sdAt(hours))).toEqual([0.4, 0.5]);
  });
  it('widens the mean over the hours ahead, the less the more of them there are', () => {
    const air = createExplainedAir();
    air.tell(unsure(0, ...new Array<number>(96).fill(0.5)));
    const { sdOver, tempC } = air.onTop(plain, start);
    expect(tempC).toEqual(plain.tempC);
    const own = (hours: number) => Math.sqrt(sdOver(hours) ** 2 - plain.sdOver(hours) ** 2);
    expect(own(0.5)).toBeCloseTo(0.5, 6);
    // The mean over T of a first-order process that lasts tau, in steps: close to what it is without steps
    // (Papoulis, Probability, random variables and stochastic processes; from memory).
    for (const hours of [12, 48, 240, 1000]) {
      const times = hours / 12;
      const exact = 0.5 * Math.sqrt((2 / times) * (1 - (1 - Math.exp(-times)) / times));
      expect(own(hours) / exact).toBeGreaterThan(0.98);
      expect(own(hours) / exact).toBeLessThan(1.02);
    }
    expect(own(100.5)).toBeLessThan(own(100));
    expect(own(100.5)).toBeGreaterThan(own(101));
  });
  it('makes forecasts of bags there less sure, and of no others', () => {
    const spanOf = (sdK: number, shelf: string) => {
      const engine = createEngine();
      engine.setFarm(farm);
      engine.setBeliefs(wellKnown);
      engine.setBatches([batchOf({ shelf })], true);
      const { t, value } = readings(0, 4, () => 20);
      engine.addReadings('in-warm.temperature', t, value);
      const sds = new Array<number>(96).fill(sdK);
      engine.setDepartures({ room: 'warm', from: at(4), departureK: sds.map(() => 0), sdK: sds });
      const { earliest, latest } = engine.advance(at(4)).forecasts[0]!.ready.at!;
      return latest - earliest;
    };
    expect(spanOf(3, 'A2')).toBeGreaterThan(1.05 * spanOf(0, 'A2'));
    expect(spanOf(3, 'D1')).toBe(spanOf(0, 'D1'));
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
    if (departures !== null) engine.setDepartures(told(0, ...departures));
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
    late.setDepartures(told(0, ...explained));
    late.setBatches([batchOf({ shelf: 'A2' })], true);
    expect(late.advance(at(4)).forecasts).toEqual(engineTold(explained).forecasts);
  });
  it('of a room that is not there nothing happens', () => {
    const { engine } = engineTold(null);
    engine.setDepartures({ ...told(0, 1), room: 'moon' });
    expect(engine.advance(at(4)).problems).toEqual([]);
  });
});
