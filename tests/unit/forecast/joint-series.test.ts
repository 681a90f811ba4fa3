import { describe, expect, it } from 'vitest';
import { createEngine } from '../../../collector/forecast/engine.ts';
import { stepsPerHour } from '../../../collector/forecast/grid.ts';
import { createJointSeries, createStandIn } from '../../../collector/forecast/joint-series.ts';
import { createStepSeries } from '../../../collector/forecast/step-series.ts';
import { jointAir } from '../../../shared/air/joint-air.ts';
import { farmFile } from '../../../shared/farm/schema.ts';
import { normalDraws } from '../../../shared/stats/normal-draws.ts';
import { dayMs, hourMs } from '../../../shared/time.ts';
import { at, batchOf, farm, readings } from './farm.ts';

const hours = 60;
const steps = hours * stepsPerHour;
const firstStep = 480_000 * stepsPerHour;
const truth = (step: number): number => 22 + Math.sin((2 * Math.PI * step) / (24 * stepsPerHour));

/** What a sensor told that stands somewhat off the room, with noise; NaN while it is silent. */
const told = (offsetK: number, seed: number, silent: (hour: number) => boolean = () => false) => {
  const normal = normalDraws(seed);
  return Float64Array.from({ length: steps }, (_, step) => {
    const noiseK = 0.05 * normal();
    return silent(step / stepsPerHour) ? Number.NaN : truth(step) + offsetK + noiseK;
  });
};
const seriesOf = (values: Float64Array) => {
  const series = createStepSeries();
  values.forEach((value, step) => {
    if (!Number.isNaN(value)) series.add(firstStep + step, value);
  });
  return series;
};
const jointOf = (...values: Float64Array[]) => {
  const joint = createJointSeries(values.map(seriesOf));
  return Float64Array.from({ length: steps }, (_, step) => joint.mean(firstStep + step));
};
const furthestK = (airC: Float64Array, levelK = 0): number =>
  Math.max(...airC.map((tempC, step) => Math.abs(tempC - truth(step) - levelK)));

describe('sensors of one place as one', () => {
  it('are their plain mean where all speak', () => {
    const all = [told(1.2, 1), told(0, 2), told(-0.9, 3)];
    jointOf(...all).forEach((tempC, step) => {
      expect(tempC).toBeCloseTo((all[0]![step]! + all[1]![step]! + all[2]![step]!) / 3, 9);
    });
  });
  it.each([
    ['falls silent', (hour: number) => hour >= 30.4],
    ['speaks again after a day', (hour: number) => hour >= 20 && hour < 45.5],
    ['is new', (hour: number) => hour < 30.4],
  ])('do not step when one %s', (what, silent) => {
    // The level is that of those who told the first hour.
    const levelK = what === 'is new' ? -1.5 : 0;
    const joint = jointOf(told(3, 1, silent), told(-1.5, 2), told(-1.5, 3));
    expect(furthestK(joint, levelK)).toBeLessThan(0.25);
  });
  it('come within noise of what knows the whole past at once', () => {
    const all = [
      told(2, 1, (hour) => hour >= 40),
      told(-1, 2),
      told(-1, 3, (hour) => hour > 20 && hour < 33),
    ];
    const whole = jointAir(all, stepsPerHour, 30 * stepsPerHour);
    const joint = jointOf(...all);
    // The first hour has no offsets yet.
    for (let step = stepsPerHour; step < steps; step++) expect(joint[step]).toBeCloseTo(whole[step]!, 1);
  });
  it('of which some tell late, after others were asked, come to the same', () => {
    const all = [told(2, 1, (hour) => hour >= 50), told(-1, 2), told(-1, 3)];
    const expected = jointOf(...all);
    const series = [seriesOf(all[0]!), createStepSeries(), seriesOf(all[2]!)];
    const joint = createJointSeries(series);
    joint.mean(firstStep + steps - 1);
    for (let step = steps - 1; step >= 0; step--) {
      series[1]!.add(firstStep + step, all[1]![step]!);
      joint.reopen(firstStep + step);
      if (step % 200 === 0) joint.mean(firstStep + steps - 1);
    }
    expected.forEach((tempC, step) => {
      expect(joint.mean(firstStep + step)).toBe(tempC);
    });
  });
  it('stand in for others that fall silent without a step', () => {
    const large = seriesOf(told(0, 1, (hour) => hour >= 30.4));
    const shelf = seriesOf(told(2.5, 2));
    const air = createStandIn(createJointSeries([large]), createJointSeries([shelf]), large.first);
    const airC = Float64Array.from({ length: steps }, (_, step) => air.mean(firstStep + step));
    expect(furthestK(airC)).toBeLessThan(0.25);
  });
});

describe('a forecast', () => {
  it('does not move when one of a room’s sensors falls silent', () => {
    const twice = farmFile.parse({
      ...farm,
      sensors: [
        ...farm.sensors,
        { ...farm.sensors.find(({ id }) => id === 'in-warm')!, id: 'by-the-door', topic: 't/by-the-door' },
      ],
    });
    const engineWith = (doorUntil: number) => {
      const engine = createEngine();
      engine.setFarm(twice);
      engine.setBatches([batchOf({ shelf: 'A2' })], true);
      const add = (channel: string, until: number, tempC: number) => {
        const { t, value } = readings(0, until, (day) => tempC + Math.sin(2 * Math.PI * day));
        engine.addReadings(channel, t, value);
      };
      add('in-warm.temperature', 6, 25);
      add('by-the-door.temperature', doorUntil, 21);
      const likely = engine.advance(at(6)).forecasts[0]!.ready.at!.likely;
      const { points } = engine.shelfAir({ shelf: 'A2', from: at(3), to: at(6), maxPoints: 96 })!;
      return { likely, points };
    };
    const [silent, both] = [engineWith(4), engineWith(6)];
    silent.points.forEach(({ tempC }, index) => {
      expect(tempC).toBeCloseTo(both.points[index]!.tempC, 6);
    });
    expect(Math.abs(silent.likely - both.likely)).toBeLessThan(hourMs / 60);
    expect(Math.abs(both.likely - at(6))).toBeGreaterThan(dayMs);
  });
});
