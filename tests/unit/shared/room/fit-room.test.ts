import { describe, expect, it } from 'vitest';
import { thermalOf } from '../../../../shared/heat/container.ts';
import { createLoad } from '../../../../shared/heat/load.ts';
import { defaultRoom } from '../../../../shared/room/default-room.ts';
import { fitRoom } from '../../../../shared/room/fit-room.ts';
import type { PastLoad, RoomHistory } from '../../../../shared/room/history.ts';
import { aroundLoadC, loadInput, ownGains, roomRun } from '../../../../shared/room/model.ts';
import { fromVector, type RoomParams, roomParamNames, toVector } from '../../../../shared/room/params.ts';
import { isWorkingHour, meanRoom, roomFit } from '../../../../shared/room/room-fit.ts';
import { normalDraws } from '../../../../shared/stats/normal-draws.ts';
import { hourMs, minuteMs } from '../../../../shared/time.ts';

const bag = {
  shape: { form: 'brick' as const, widthM: 0.2, depthM: 0.12, heightM: 0.2 },
  massKg: 3,
  moisture: 0.5,
};
const prior = defaultRoom(20, 2_500, { setC: 22 });
const stepMin = 5;

/** A room that is lived in its own model: what a fit must be able to find again. */
function liveIn(params: RoomParams, days: number, unloads: { hour: number; count: number }[]): RoomHistory {
  const steps = (days * 24 * 60) / stepMin;
  const normal = normalDraws(3);
  const run = roomRun(params, { airC: params.coolAboveC, structureC: params.coolAboveC }, 60);
  const loads = unloads.map(({ hour, count }): PastLoad => {
    const at = hour * hourMs;
    return { at, until: at + 20 * hourMs, load: { thermal: thermalOf(bag), count, startC: 96 }, cores: [] };
  });
  const hot = loads.map(({ at, load }) => ({
    at,
    load: createLoad({
      ...load,
      filmFactor: params.filmFactor,
      heatFactor: params.heatFactor,
      conductionFactor: params.conductionFactor,
    }),
  }));
  const airC = new Float64Array(steps);
  const outsideC = new Float64Array(steps);
  for (let minute = 0; minute < steps * stepMin; minute++) {
    const t = minute * minuteMs;
    const step = Math.floor(minute / stepMin);
    const hour = (t / hourMs) % 24;
    if (minute % stepMin === 0)
      outsideC[step] = 14 + 6 * Math.cos(((hour - 15) / 12) * Math.PI) + 3 * Math.sin(t / (40 * hourMs));
    let [airW, wallW] = [0, 0];
    for (const { at, load } of hot) {
      if (t < at || t > at + 20 * hourMs) continue;
      const skin = { radiantShare: load.radiantShare(run.airC), skinC: load.skinC() };
      const loadW = load.step(aroundLoadC(params, run, skin.radiantShare), 60);
      const given = loadInput(params, loadW, skin, run);
      airW += given.heatW;
      wallW += given.structureW;
    }
    const own = ownGains(params, isWorkingHour(hour));
    run.step(outsideC[step]!, own.airW + airW, own.wallW + wallW, 1);
    airC[step]! += (run.airC + 0.05 * normal()) / stepMin;
  }
  return {
    from: 0,
    stepMs: stepMin * minuteMs,
    airC,
    outsideC,
    bagsW: null,
    coolerOn: null,
    loads,
    localHour: (t) => (t / hourMs) % 24,
  };
}

const unlike = fromVector(
  toVector(meanRoom(prior)).map(
    (value, k) => value + [0.2, -0.4, 0.3, 0.4, 0.2, 0.3, 0.1, -0.3, 0.15][k % 9]!,
  ),
);
const lived: RoomParams = {
  ...unlike,
  ...{ coolAboveC: 22.4, heatBelowC: 20.3, bandK: 0.7, filmFactor: 0.75, heatFactor: 1.1 },
};

describe('a fit', () => {
  const fit = fitRoom(
    liveIn(lived, 12, [
      { hour: 60, count: 50 },
      { hour: 130, count: 120 },
      { hour: 200, count: 80 },
    ]),
    prior,
  );

  it('is a whole fit that says what taught it', () => {
    expect(roomFit.parse(JSON.parse(JSON.stringify(fit)))).toEqual(fit);
    expect(fit.unloads).toBe(3);
    expect(fit.trainedDays).toBeGreaterThan(11);
    expect(fit.outside.from).toBe('sensor');
  });

  it.each(roomParamNames)('has the true %s within what it says of its own spread', (name) => {
    const k = roomParamNames.indexOf(name);
    const sd = Math.sqrt(fit.covariance[k * roomParamNames.length + k]!);
    expect(Math.abs(fit.mean[k]! - toVector(lived)[k]!)).toBeLessThan(3 * sd);
  });

  it.each(['structureJPerK', 'airToStructureWPerK', 'gainW', 'coolAboveC'] as const)(
    'knows %s much better than before',
    (name) => {
      const at = roomParamNames.indexOf(name) * (roomParamNames.length + 1);
      expect(Math.sqrt(fit.covariance[at]!)).toBeLessThan(Math.sqrt(prior.covariance[at]!) / 1.6);
    },
  );

  it('leaves little unexplained', () => {
    expect(fit.residual.sdK).toBeLessThan(0.3);
  });
});

it('a room always at its set-point keeps what was assumed where nothing speaks against it, and says so', () => {
  const held = { ...meanRoom(prior), coolingW: 9_000, bandK: 0.2, gainW: 800 };
  const fit = fitRoom(liveIn(held, 6, []), prior);
  expect(fit.notIdentified).toContain('structureJPerK');
  expect(fit.notIdentified).toContain('filmFactor');
  const found = meanRoom(fit);
  for (const value of Object.values(found)) expect(value).toBeGreaterThan(0);
  expect(Math.abs(Math.log(found.structureJPerK / meanRoom(prior).structureJPerK))).toBeLessThan(0.7);
});

it('too little history leaves the default, with a note', () => {
  const short = fitRoom(liveIn(lived, 2, []), prior);
  expect(short.mean).toEqual(prior.mean);
  expect(short.notes.at(-1)).toMatch(/nothing was learned yet/);
});

it('air that nobody measured, stuck air and wild air end in a fit with positive parameters, or in the default', () => {
  const whole = liveIn(lived, 6, [{ hour: 50, count: 60 }]);
  const wild = normalDraws(9);
  for (const airC of [
    new Float64Array(whole.airC.length).fill(Number.NaN),
    new Float64Array(whole.airC.length).fill(21),
    Float64Array.from(whole.airC, () => 20 + 15 * wild()),
  ]) {
    const fit = roomFit.parse(fitRoom({ ...whole, airC }, prior));
    for (const value of Object.values(meanRoom(fit))) expect(value).toBeGreaterThan(0);
  }
});
