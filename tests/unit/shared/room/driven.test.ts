import { describe, expect, it } from 'vitest';
import { thermalOf } from '../../../../shared/heat/container.ts';
import { createLoad } from '../../../../shared/heat/load.ts';
import { defaultRoom } from '../../../../shared/room/default-room.ts';
import { outputOf } from '../../../../shared/room/driven.ts';
import { fitRoom } from '../../../../shared/room/fit-room.ts';
import { gridOf, type RoomHistory } from '../../../../shared/room/history.ts';
import { aroundLoadC, loadInput, ownGains, roomRun } from '../../../../shared/room/model.ts';
import { fromVector, type RoomParam, type RoomParams, toVector } from '../../../../shared/room/params.ts';
import { isWorkingHour, meanRoom } from '../../../../shared/room/room-fit.ts';
import { normalDraws } from '../../../../shared/stats/normal-draws.ts';
import { hourMs, minuteMs } from '../../../../shared/time.ts';

const prior = defaultRoom(20, 2_500, { setC: 22 });
const lived: RoomParams = {
  ...fromVector(
    toVector(meanRoom(prior)).map((value, k) => value + [0.2, -0.4, 0.3, 0.4, 0.2, 0.6, 0.1][k % 7]! * 0.8),
  ),
  ...{ coolAboveC: 22, heatBelowC: 19 },
};

const bag = {
  shape: { form: 'brick' as const, widthM: 0.2, depthM: 0.12, heightM: 0.2 },
  massKg: 3,
  moisture: 0.5,
};
const hot = { thermal: thermalOf(bag), count: 60, startC: 96 };
const comesAtHours = [58, 130] as const;

/**
 * A room with a thermostat that switches, minute by minute, and two hot loads; outside air is told or not.
 * @param failsHours in which the cooler is called upon and gives nothing
 */
function switching(
  days: number,
  outsideTold: boolean,
  failsHours: readonly [number, number] = [0, 0],
): RoomHistory {
  const steps = days * 24 * 60;
  const normal = normalDraws(5);
  const run = roomRun(lived, { airC: 22, structureC: 21.5 }, 60);
  const [airC, outsideC, coolerOn] = [0, 1, 2].map(() => new Float64Array(steps)) as [
    Float64Array,
    Float64Array,
    Float64Array,
  ];
  const { filmFactor, heatFactor, conductionFactor } = lived;
  const loads = comesAtHours.map((hour) => ({
    ...{ from: hour * 60, until: (hour + 18) * 60 },
    load: createLoad({ ...hot, filmFactor, heatFactor, conductionFactor }),
  }));
  let on = false;
  let output = 0;
  for (let i = 0; i < steps; i++) {
    const hour = (i / 60) % 24;
    outsideC[i] = 17 + 6 * Math.cos(((hour - 15) / 12) * Math.PI) + 3 * Math.sin(i / (40 * 60));
    on = on ? run.airC > 21.6 : run.airC > 22.6;
    output = on ? output + (1 - output) * -Math.expm1(-1 / 3) : 0;
    const own = ownGains(lived, isWorkingHour(hour));
    const given = { airW: own.airW, wallW: own.wallW };
    for (const { from, until, load } of loads) {
      if (i < from || i >= until) continue;
      const skin = { radiantShare: load.radiantShare(run.airC), skinC: load.skinC() };
      const loadW = load.step(aroundLoadC(lived, run, skin.radiantShare), 60);
      const { heatW, structureW } = loadInput(lived, loadW, skin, run);
      given.airW += heatW;
      given.wallW += structureW;
    }
    const fails = i >= 60 * failsHours[0] && i < 60 * failsHours[1];
    run.step(outsideC[i]!, given.airW, given.wallW, 1, fails ? 0 : output);
    airC[i] = run.airC + 0.05 * normal();
    coolerOn[i] = on ? 1 : 0;
  }
  return {
    ...{ from: 0, stepMs: minuteMs, airC, outsideC: outsideTold ? outsideC : null, bagsW: null },
    loads: loads.map(({ from, until }) => ({
      at: from * minuteMs,
      until: until * minuteMs,
      load: hot,
      cores: [],
    })),
    ...{ coolerOn, localHour: (t: number) => (t / hourMs) % 24 },
  };
}

/** Mean distance of logs; against the cooler's capacity, for how much heat loads hold is known to a tenth at best. */
const offOf = (history: RoomHistory, names: readonly RoomParam[]): number => {
  const found = meanRoom(fitRoom(history, prior));
  const against = (name: RoomParam) =>
    Math.log(found[name] / found.coolingW / (lived[name] / lived.coolingW));
  return names.reduce((sum, name) => sum + Math.abs(against(name)), 0) / names.length;
};

describe('what a cooler gave', () => {
  it('builds up like 1 - exp(-t / T) and ends with its switch', () => {
    const on = Float64Array.from({ length: 40 }, (_, minute) => (minute >= 10 && minute < 30 ? 1 : 0));
    const given = outputOf({ on, stepMin: 1 }, 4, 10);
    // Mean of 1 - exp(-t / 4) over ends of minutes 1 to 10, by the geometric series.
    const q = Math.exp(-1 / 4);
    const first = 1 - (q * (1 - q ** 10)) / (1 - q) / 10;
    expect(given[0]).toBe(0);
    expect(given[1]).toBeCloseTo(first, 12);
    expect(given[2]).toBeGreaterThan(0.95);
    expect(given[3]).toBe(0);
  });

  it('is not known in a step of which a minute is not', () => {
    const on = new Float64Array(30).fill(1);
    on[13] = Number.NaN;
    expect([...outputOf({ on, stepMin: 1 }, 2, 10)].map(Number.isNaN)).toEqual([false, true, false]);
  });

  it('counts for the part of a sample that it ran', () => {
    expect(outputOf({ on: new Float64Array(60).fill(0.25), stepMin: 5 }, 2, 5)[11]).toBeCloseTo(0.25, 6);
  });
});

describe('a cooler of which it is known when it ran', () => {
  const history = switching(8, true);

  it('is taken as known when it is for half of the time, and ran at all; else it is said why not', () => {
    const signal = (change: Partial<RoomHistory>): string | null => {
      const { cooler, coolerSignal } = gridOf({ ...history, ...change });
      expect(cooler !== null).toBe(coolerSignal === 'taught');
      return coolerSignal;
    };
    expect(signal({})).toBe('taught');
    expect(signal({ coolerOn: null })).toBeNull();
    expect(signal({ coolerOn: null, coolerSeldom: true })).toBe('seldom');
    expect(signal({ coolerOn: new Float64Array(history.airC.length) })).toBe('never-ran');
    const some = Float64Array.from(history.airC, (_, i) => (i % 5 < 2 ? 1 : Number.NaN));
    expect(signal({ coolerOn: some })).toBe('gaps');
    expect(signal({ stepMs: 5 * minuteMs })).toBe('air-seldom');
  });

  it('tells what the room holds and gives more nearly than its swings do', () => {
    const names = ['airToStructureWPerK', 'structureJPerK', 'gainW'] as const;
    const told = offOf(history, names);
    expect(told).toBeLessThan(0.1);
    expect(told).toBeLessThan(offOf({ ...history, coolerOn: null }, names));
  });

  it('does so with hours in which it is not known', () => {
    const gaps = Float64Array.from(history.coolerOn!, (part, i) => ((i / 60) % 24 < 5 ? Number.NaN : part));
    expect(offOf({ ...history, coolerOn: gaps }, ['airToStructureWPerK', 'gainW'])).toBeLessThan(0.25);
  });

  it('does so where no sensor tells of the weather', () => {
    expect(offOf(switching(8, false), ['airToStructureWPerK', 'gainW'])).toBeLessThan(0.35);
  });

  it('is not believed where it ran in vain', () => {
    const names = ['structureJPerK', 'airToStructureWPerK', 'gainW'] as const;
    for (const outsideTold of [true, false])
      expect(offOf(switching(8, outsideTold, [80, 95]), names)).toBeLessThan(0.2);
  });

  it('leaves the temperature that the thermostat holds as one knob for both', () => {
    const fit = fitRoom(history, prior);
    expect(Math.abs(meanRoom(fit).coolAboveC - 22)).toBeLessThan(0.7);
    expect(fit.coolerSignal).toBe('taught');
    expect(fit.notes).toEqual([]);
  });

  it('says for how long it taught nothing', () => {
    const { notes } = fitRoom(switching(8, true, [80, 95]), prior);
    expect(notes).toHaveLength(1);
    const [, hours] = /^For (\d+) h its cooler ran in vain/.exec(notes[0]!)!;
    expect(Number(hours)).toBeGreaterThan(10);
    expect(Number(hours)).toBeLessThan(20);
  });
});

it('a room whose cooler gives what its thermostat would have it give is the same room', () => {
  const start = { airC: 24, structureC: 22.5, used: 0 };
  const free = roomRun(lived, start, 60);
  const driven = roomRun(lived, start, 60);
  for (let minute = 0; minute < 600; minute++) {
    const heatW = minute < 60 ? 4_000 : 500;
    free.step(16, heatW, 300, 1);
    driven.step(16, heatW, 300, 1, free.used);
    expect(driven.airC).toBeCloseTo(free.airC, 9);
  }
});
