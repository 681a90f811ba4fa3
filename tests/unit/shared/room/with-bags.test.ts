import { describe, expect, it } from 'vitest';
import { expectedWithEffect } from '../../../../alerts/conditions/with-effect.ts';
import { explainedBy } from '../../../../shared/room/explained.ts';
import { ownGains } from '../../../../shared/room/model.ts';
import { toVector } from '../../../../shared/room/params.ts';
import { meanRoom, type RoomFit } from '../../../../shared/room/room-fit.ts';
import { taughtWords } from '../../../../shared/room/taught.ts';
import { bagsBesideW, withBags } from '../../../../shared/room/with-bags.ts';
import { roomWords } from '../../../../shared/room/words.ts';
import { hourMs } from '../../../../shared/time.ts';
import { ownDoing } from '../../../../shared/unload/cooler-off.ts';
import { planUnload } from '../../../../shared/unload/plan.ts';
import { atOnce } from '../../../tools/at-once.ts';
import { dayHour, livedFit } from '../../../tools/lived-room.ts';
import { planQuestion, surer } from '../../../tools/plan-question.ts';

const lived = meanRoom(livedFit);
const toldW = 300;
/** The same room told in two ways: bags beside its own gains, which give 0.8 of what is told of them; and among them. */
const beside: RoomFit = { ...livedFit, bags: { factor: 0.8, endW: 90 } };
const among: RoomFit = { ...livedFit, mean: toVector(withBags(lived, 0.8 * toldW)) };

describe('a room with bags in it', () => {
  it('has their heat in its air, and its walls get what they got', () => {
    const plain = ownGains(lived, true);
    const full = ownGains(withBags(lived, toldW), true);
    expect(full.airW - plain.airW).toBeCloseTo(toldW, 9);
    expect(full.wallW).toBeCloseTo(plain.wallW, 9);
    expect(withBags(lived, 0)).toEqual(lived);
  });
  it('counts bags once: none beside gains that have them, and those of its last night where nothing is told', () => {
    expect(bagsBesideW(livedFit, toldW)).toBe(0);
    expect(bagsBesideW(livedFit, null)).toBe(0);
    expect(bagsBesideW(beside, toldW)).toBeCloseTo(0.8 * toldW, 9);
    expect(bagsBesideW(beside, 0)).toBe(0);
    expect(bagsBesideW(beside, null)).toBe(90);
    expect(bagsBesideW(beside, undefined)).toBe(90);
  });
});

describe('what runs a room onward says the same whether bags are beside its gains or among them', () => {
  const at = Date.UTC(2026, 4, 4);
  it('of what weather does to its air', () => {
    const question = {
      ...{ from: at, now: at + 96 * hourMs, hoursAhead: 24, loads: [], localHour: dayHour },
      // Cold enough for the cooler to rest at times.
      outsideC: (t: number) => 2 + 8 * Math.sin(t / (31 * hourMs)),
    };
    const one = atOnce(explainedBy({ ...question, fit: beside, bagsW: toldW }));
    const other = atOnce(explainedBy({ ...question, fit: among }));
    for (const [hour, k] of one.weatherK.entries()) expect(k).toBeCloseTo(other.weatherK[hour]!, 9);
    const missed = atOnce(explainedBy({ ...question, fit: beside, bagsW: 0 }));
    expect(Math.max(...missed.weatherK.map((k, hour) => Math.abs(k - one.weatherK[hour]!)))).toBeGreaterThan(
      0.01,
    );
  });
  it('of a rise that a pause of its cooler explains', () => {
    const minutes = 8 * 60;
    const tempC = Float64Array.from({ length: minutes }, () => 22);
    const air = { firstT: at, stepMs: 60_000, airC: tempC, outsideC: tempC.map(() => 18) };
    /** The least air after 20 min that is not its own doing [°C]. */
    const leastC = (fit: RoomFit, bagsW: number | null): number => {
      let [low, high] = [22, 40];
      while (high - low > 1e-6) {
        const middle = (low + high) / 2;
        tempC[minutes - 1] = middle;
        if (ownDoing({ fit, air, tempC, localHour: dayHour, bagsW }, minutes - 21, minutes - 1, 0))
          low = middle;
        else high = middle;
      }
      return low;
    };
    expect(leastC(beside, toldW)).toBeCloseTo(leastC(among, null), 4);
    expect(leastC(among, toldW)).toBe(leastC(among, null));
    expect(leastC(beside, toldW)).toBeGreaterThan(leastC(beside, 0) + 0.1);
  });
  it('of what cooling should have led to', () => {
    const past = Array.from({ length: 12 }, () => ({
      ...{ airC: 23, outsideC: 18, working: false, given: { airW: 0, wallW: 0 } },
      wallsC: Float64Array.of(22.5, 22.5),
    }));
    const now = (fit: RoomFit, bagsW: number | null) =>
      expectedWithEffect(
        { fit, rooms: [meanRoom(fit), meanRoom(fit)], wallsC: Float64Array.of(22.5, 22.5), past, bagsW },
        'above',
      )!.tempC;
    expect(now(beside, toldW)).toBeCloseTo(now(among, toldW), 9);
    expect(now(beside, toldW)).toBeGreaterThan(now(beside, 0));
  });
});

describe('a plan', () => {
  const fit = surer(livedFit, 0.35);
  const withThem = { ...fit, bags: { factor: 1, endW: 0 } };
  const peakC = (change: Parameters<typeof planQuestion>[0]) =>
    planUnload(planQuestion(change)).peak.tempC.likely;
  it('goes by the bags of its day, and says so', () => {
    const few = planUnload(planQuestion({ fit: withThem, bagsW: 0 }));
    const many = planUnload(planQuestion({ fit: withThem, bagsW: 260 }));
    expect(many.peak.tempC.likely).toBeGreaterThan(few.peak.tempC.likely);
    const sentence = /^Bags give about (.+) now, as far as their growth is known, and go on giving that\.$/;
    expect(many.assumed.flatMap((one) => sentence.exec(one)?.[1] ?? [])).toEqual(['260 W']);
    expect(few.assumed.some((one) => sentence.test(one))).toBe(false);
  });
  it('of a room whose gains have bags in them is as it was, whatever bags stand there, and says so', () => {
    const was = planUnload(planQuestion({ fit }));
    const now = planUnload(planQuestion({ fit, bagsW: 260 }));
    expect({ ...now, assumed: [] }).toEqual({ ...was, assumed: [] });
    expect(now.assumed.filter((one) => !was.assumed.includes(one))).toEqual([
      'The heat of bags is as it was while this room was learned: it is part of its own gains.',
    ]);
    expect(peakC({ fit: withThem, bagsW: null })).toBe(peakC({ fit: withThem, bagsW: 0 }));
  });
});

describe('words of a room', () => {
  it('tell what bags give now beside its own gains, or that they are among those', () => {
    const gains = (fit: RoomFit, bagsW: number | null) =>
      roomWords(fit, bagsW)
        .join(' ')
        .match(/its own gains.*$/)![0];
    const own = /^its own gains are about [\d.]+ k?W, [\d.]+ k?W in working hours/.source;
    expect(gains(beside, toldW)).toMatch(
      new RegExp(`${own}\\. Bags give about 240 W now, as far as their growth is known\\.`),
    );
    expect(gains(livedFit, toldW)).toMatch(new RegExp(`${own}, the heat of bags among them\\.`));
    for (const [fit, bagsW] of [
      [beside, 0],
      [livedFit, null],
      [livedFit, 0.4],
    ] as const)
      expect(gains(fit, bagsW)).toMatch(new RegExp(`${own}\\.`));
  });
  it('do not call it learning that bags are no longer among the gains', () => {
    const fewer = { ...livedFit, mean: toVector({ ...lived, gainW: 0.6 * lived.gainW }) };
    expect(taughtWords(livedFit, fewer).join()).toMatch(/gains of its own/);
    expect(taughtWords(livedFit, { ...fewer, bags: beside.bags! }).join()).not.toMatch(/gains of its own/);
  });
});
