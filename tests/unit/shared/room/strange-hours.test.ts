import { describe, expect, it } from 'vitest';
import { strangeHours } from '../../../../shared/room/strange-hours.ts';

/** Minutes in which a cooler switches each quarter of an hour and the air swings by half a kelvin. */
function ordinary(hours: number) {
  const on = Float64Array.from({ length: 60 * hours }, (_, i) => Number(i % 30 < 15));
  const airC = on.map((_, i) => 22 + 0.25 * Math.cos((2 * Math.PI * i) / 30));
  return { on, airC };
}
const hour = 60;

describe('hours of which it is not known what was done to the air', () => {
  it('are none on ordinary days', () => {
    const { on, airC } = ordinary(96);
    expect(strangeHours(on, airC, 1, [])).toEqual([]);
  });

  const failed = () => {
    const { on, airC } = ordinary(96);
    on.fill(1, 30 * hour, 40 * hour);
    for (let i = 30 * hour; i < 40 * hour; i++) airC[i] = 22 + 8 * -Math.expm1(-(i - 30 * hour) / 180);
    return { on, airC };
  };

  it('last from where a cooler runs in vain to its next pause', () => {
    const { on, airC } = failed();
    const [{ from, until }, ...more] = strangeHours(on, airC, 1, []) as [{ from: number; until: number }];
    expect(more).toEqual([]);
    expect(Math.abs(from - 30 * hour)).toBeLessThanOrEqual(30);
    // Its rhythm begins with a quarter of an hour in which it runs.
    expect(until).toBe(40 * hour + 15);
  });

  it('do so though air and cooler are not known for some of them, and by samples of two minutes', () => {
    const { on, airC } = failed();
    on.fill(Number.NaN, 33 * hour, 34 * hour);
    airC.fill(Number.NaN, 35 * hour, 36 * hour);
    const coarse = (values: Float64Array) => values.filter((_, i) => i % 2 === 0);
    expect(strangeHours(on, airC, 1, [])).toHaveLength(1);
    expect(strangeHours(coarse(on), coarse(airC), 2, [])[0]?.until).toBe((40 * hour + 16) / 2);
  });

  it('are not those in which a load on record warms the air', () => {
    const { on, airC } = failed();
    expect(strangeHours(on, airC, 1, [30 * hour + 5.5])).toEqual([]);
    expect(strangeHours(on, airC, 1, [20 * hour])).toHaveLength(1);
  });

  it('are not those in which a cooler that runs on cools the room', () => {
    const { on, airC } = ordinary(96);
    on.fill(1, 30 * hour, 40 * hour);
    for (let i = 30 * hour; i < 40 * hour; i++) airC[i] = 25 - (3 * (i - 30 * hour)) / (10 * hour);
    expect(strangeHours(on, airC, 1, [])).toEqual([]);
  });

  it('last while air is far colder than it usually is, and on its way there and back', () => {
    const { on, airC } = ordinary(96);
    on.fill(0, 50 * hour, 56 * hour);
    for (let i = 50 * hour; i < 56 * hour; i++)
      airC[i] = 22 - 6 * Math.sin((Math.PI * (i - 50 * hour)) / (6 * hour));
    const stretches = strangeHours(on, airC, 1, []);
    expect(stretches).toHaveLength(1);
    expect(Math.abs(stretches[0]!.from - 50 * hour)).toBeLessThanOrEqual(30);
    expect(Math.abs(stretches[0]!.until - 56 * hour)).toBeLessThanOrEqual(30);
  });

  it('are none of a room whose air nobody measured', () => {
    const { on, airC } = ordinary(48);
    expect(strangeHours(on, airC.fill(Number.NaN), 1, [])).toEqual([]);
  });
});
