import { describe, expect, test } from 'vitest';
import { jointAir } from '../../../../shared/air/joint-air.ts';
import { normalDraws } from '../../../../shared/stats/normal-draws.ts';

const perHour = 12;
const hours = 72;
const steps = hours * perHour;
const hourOf = (step: number) => step / perHour;

/** A room whose air swings by the day and is heated by a load at hour 40. */
const truth = (step: number) => {
  const since = hourOf(step) - 40;
  return 22 + Math.sin((2 * Math.PI * step) / (24 * perHour)) + (since < 0 ? 0 : 4 * Math.exp(-since / 4));
};
/** A sensor that stands somewhat above or below the room, with noise. */
const sensor = (offsetK: number, seed: number, isSilent: (hour: number) => boolean = () => false) => {
  const normal = normalDraws(seed);
  return Float64Array.from({ length: steps }, (_, step) => {
    const noiseK = 0.05 * normal();
    return isSilent(hourOf(step)) ? Number.NaN : truth(step) + offsetK + noiseK;
  });
};
const furthestK = (airC: Float64Array, levelK: number, from = 0, until = hours) =>
  Math.max(
    ...Array.from(airC, (tempC, step) =>
      hourOf(step) >= from && hourOf(step) < until ? Math.abs(tempC - truth(step) - levelK) : 0,
    ),
  );

describe('air that several sensors tell together', () => {
  test('is their plain mean where all speak, and one sensor’s word where there is one', () => {
    const all = [sensor(1.2, 1), sensor(0, 2), sensor(-0.9, 3)];
    const joint = jointAir(all, perHour);
    joint.forEach((tempC, step) => {
      expect(tempC).toBeCloseTo((all[0]![step]! + all[1]![step]! + all[2]![step]!) / 3, 9);
    });
    expect([...jointAir([all[0]!], perHour)]).toEqual([...all[0]!]);
  });

  test.each([
    ['falls silent while a load heats the room', (hour: number) => hour >= 41, -1],
    ['falls silent an hour ago', (hour: number) => hour >= 71, 0],
    ['speaks again after a day', (hour: number) => hour >= 30 && hour < 50, 0],
  ])('does not step when one %s', (_, silent, levelK) => {
    const joint = jointAir([sensor(2, 1, silent), sensor(-1, 2), sensor(-1, 3)], perHour);
    // Noise of two sensors at most, against the whole kelvin by which their plain mean steps.
    expect(furthestK(joint, levelK)).toBeLessThan(0.25);
  });

  test('stays where it was when all but one are silent', () => {
    const joint = jointAir(
      [sensor(2, 1, (hour) => hour > 50), sensor(-1, 2, (hour) => hour > 55), sensor(-1, 3)],
      perHour,
      40 * perHour,
    );
    expect(furthestK(joint, 0)).toBeLessThan(0.3);
  });

  test('a new sensor comes in without a step; the level is that of those that told the last day', () => {
    const sensors = (until: number) => [sensor(-1, 2), sensor(-1, 3), sensor(2, 1, (hour) => hour < until)];
    expect(furthestK(jointAir(sensors(65), perHour), -1)).toBeLessThan(0.25);
    expect(furthestK(jointAir(sensors(40), perHour), 0)).toBeLessThan(0.25);
    // Or a day that is named: what came later changes nothing of the level.
    expect(furthestK(jointAir(sensors(40), perHour, 38 * perHour), -1)).toBeLessThan(0.25);
  });

  test('sensors that speak in turn do not make it swing', () => {
    const turn = (index: number, own: Float64Array) =>
      own.map((tempC, step) => (step % 2 === index ? tempC : Number.NaN));
    const joint = jointAir([turn(0, sensor(1, 1)), turn(1, sensor(-1, 2))], perHour);
    expect(furthestK(joint, 0)).toBeLessThan(0.3);
  });

  test('one that is moved counts by where it hangs once it has hung there for most of its time', () => {
    const moved = sensor(0, 1).map((tempC, step) => tempC + (hourOf(step) < 12 ? 3 : 0));
    const joint = jointAir(
      [moved.map((tempC, step) => (hourOf(step) < 60 ? tempC : Number.NaN)), sensor(0, 2)],
      perHour,
    );
    expect(furthestK(joint, 0, 40)).toBeLessThan(0.25);
  });

  test('where nobody tells anything it tells nothing; moments and strangers count for want of better', () => {
    const none = new Float64Array(steps).fill(Number.NaN);
    expect(jointAir([none, none], perHour).every(Number.isNaN)).toBe(true);
    expect(jointAir([], perHour)).toHaveLength(0);
    const [a, b] = [none.slice(), none.slice()];
    a[30] = 20;
    b[30] = 24;
    b[31] = 24;
    const joint = jointAir([a, b], perHour);
    expect([joint[29], joint[30], joint[31]]).toEqual([Number.NaN, 22, 24]);
  });
});
