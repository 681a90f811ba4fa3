import { describe, expect, it } from 'vitest';
import { createChannelRule } from '../../../../collector/intake/validate.ts';
import type { SensorChannel } from '../../../../shared/farm/schema.ts';
import { dayMs, minuteMs } from '../../../../shared/time.ts';
import { smallFarm } from '../../../tools/small-farm.ts';

const now = Date.UTC(2026, 2, 1, 12);

function ruleFor(spec: Partial<SensorChannel>) {
  const farm = smallFarm([
    {
      id: 's',
      topic: 's',
      decoder: 'plain',
      at: 'warm',
      channels: [{ quantity: 'temperature', unit: 'degC', ...spec }],
    },
  ]);
  const [channel] = farm.channels.values();
  if (channel === undefined) throw new Error('no channel');
  return createChannelRule(channel, farm.file.site.timeZone);
}
const read = (spec: Partial<SensorChannel>, sent: number, t = Number.NaN, retained = false) =>
  ruleFor(spec).read(sent, t, now, retained);

describe('units and ranges', () => {
  it.each([
    ['temperature', 'degF', 75.2, 24],
    ['temperature', 'K', 297.15, 24],
    ['humidity', 'fraction', 0.85, 85],
    ['pressure', 'hPa', 1013.25, 101_325],
    ['co2', 'ppm', 800, 800],
  ] as const)('%s in %s: %d is %d inside', (quantity, unit, sent, value) => {
    const reading = read({ quantity, unit }, sent);
    expect(reading?.value).toBeCloseTo(value, 9);
    expect(reading?.quality).toBe('good');
  });

  it.each([
    ['temperature', 'degC', 900],
    ['temperature', 'degC', -273.15],
    ['humidity', '%', 140],
    ['humidity', '%', -20],
    ['co2', 'ppm', -1],
    ['pressure', 'hPa', 5],
    ['probe-temperature', 'degC', 151],
  ] as const)('%s in %s: %d is kept and marked, as nothing can rest on it', (quantity, unit, sent) => {
    const reading = read({ quantity, unit }, sent);
    expect(reading?.quality).toBe('out-of-range');
    expect(reading?.value).toBeDefined();
  });

  it('cuts a share that overshoots by a tolerance, and keeps it raw', () => {
    expect(read({ quantity: 'humidity', unit: '%' }, 101.3)).toMatchObject({
      value: 100,
      raw: 101.3,
      quality: 'good',
    });
    expect(read({ quantity: 'humidity', unit: '%' }, -0.4)).toMatchObject({ value: 0, raw: -0.4 });
  });

  it.each([
    ['temperature', 'degC', 85],
    ['temperature', 'degC', -127],
    ['temperature', 'degF', 185],
    ['probe-temperature', 'K', 358.15],
    ['probe-temperature', 'degC', -127],
  ] as const)('%s in %s: %d is a read failure', (quantity, unit, sent) => {
    expect(read({ quantity, unit }, sent)).toBeUndefined();
  });

  it('does not take the steps beside 85 for a failure, nor 85 % humidity', () => {
    expect(read({}, 84.9375)?.value).toBe(84.9375);
    expect(read({}, 85.0625)?.value).toBe(85.0625);
    expect(read({ quantity: 'humidity', unit: '%' }, 85)?.value).toBe(85);
  });
});

describe('calibration', () => {
  it('adds an offset in the unit that the sensor sends, and keeps the raw value', () => {
    const reading = read({ unit: 'degF', calibration: [{ from: '2026-01-01', offset: 1.8 }] }, 75.2);
    expect(reading?.value).toBeCloseTo(25, 9);
    expect(reading?.raw).toBeCloseTo(24, 9);
  });

  it('lays a line through two points', () => {
    const points: [[number, number], [number, number]] = [
      [0.4, 0],
      [50.2, 50],
    ];
    const rule = ruleFor({ calibration: [{ from: '2026-01-01', points }] });
    expect(rule.read(0.4, Number.NaN, now, false)?.value).toBeCloseTo(0, 9);
    expect(rule.read(50.2, Number.NaN, now, false)?.value).toBeCloseTo(50, 9);
    expect(rule.read(25.3, Number.NaN, now, false)?.value).toBeCloseTo(25, 9);
  });

  it('holds from midnight in the site zone until the next one, by the time of the reading', () => {
    const rule = ruleFor({
      calibration: [
        { from: '2026-02-20', offset: 2 },
        { from: '2026-02-10', offset: 1 },
      ],
    });
    // Berlin is one hour ahead of UTC in February.
    const midnight = Date.UTC(2026, 1, 20) - 60 * minuteMs;
    expect(rule.read(20, midnight - 1, now, false)?.value).toBe(21);
    expect(rule.read(20, midnight, now, false)?.value).toBe(22);
    expect(rule.read(20, midnight - 11 * dayMs, now, false)?.value).toBe(20);
  });

  it('judges a read failure before and the range after', () => {
    const calibration = [{ from: '2026-01-01', offset: 5 }];
    expect(read({ calibration }, 85)).toBeUndefined();
    expect(read({ calibration }, 80)?.value).toBe(85);
    expect(read({ calibration }, 122)?.quality).toBe('out-of-range');
  });
});

describe('time', () => {
  it('is the sensor own, however late', () => {
    expect(read({}, 20, now - 30 * dayMs)).toMatchObject({ t: now - 30 * dayMs, quality: 'good' });
  });

  it('may be two minutes ahead; beyond, the receive time stands and is marked', () => {
    expect(read({}, 20, now + 2 * minuteMs)).toMatchObject({ t: now + 2 * minuteMs, quality: 'good' });
    expect(read({}, 20, now + 2 * minuteMs + 1)).toMatchObject({ t: now, quality: 'clock-skew' });
  });

  it('of a clock that was never set is not believed', () => {
    expect(read({}, 20, 12_000)).toMatchObject({ t: now, quality: 'clock-skew' });
  });

  it('of a clock that was never set, in a retained message, says nothing about now', () => {
    expect(read({}, 20, 12_000, true)).toMatchObject({ quality: 'suspect' });
  });

  it('out of range outweighs clock skew', () => {
    expect(read({}, 900, 12_000)?.quality).toBe('out-of-range');
  });

  it('of a retained value without one is unknown, so the value is suspect', () => {
    expect(read({}, 20, Number.NaN, true)).toMatchObject({ quality: 'suspect', retained: true });
    expect(read({}, 20, now - minuteMs, true)).toMatchObject({ quality: 'good', retained: true });
  });

  it('follows a receive time that is set back by more than a minute', () => {
    const rule = ruleFor({});
    const times = [now, now, now - 30_000, now - 2 * minuteMs].map(
      (receivedAt) => rule.read(20, Number.NaN, receivedAt, false)?.t,
    );
    expect(times).toEqual([now, now + 1, now + 2, now - 2 * minuteMs]);
  });
});
