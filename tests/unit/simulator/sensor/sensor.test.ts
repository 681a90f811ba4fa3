import { describe, expect, it } from 'vitest';
import { decoders } from '../../../../collector/intake/decoders/registry.ts';
import { farmFile, type Sensor } from '../../../../shared/farm/schema.ts';
import { toSi } from '../../../../shared/units/convert.ts';
import { createRandom } from '../../../../simulator/random.ts';
import { farmOf } from '../../../../simulator/scenarios/scenario.ts';
import { encode, inUnit } from '../../../../simulator/sensor/payload.ts';
import { createSensor, freshSensorState, type Surroundings } from '../../../../simulator/sensor/sensor.ts';
import { drawTraits, type SensorTraits } from '../../../../simulator/sensor/traits.ts';
import { calmScenario, someMorning } from '../helpers.ts';

const around = (tempC: () => number): Surroundings => ({
  temperatureC: tempC,
  humidityPercent: () => 60,
  probeC: () => 26,
  coolerOn: () => 1,
});
const bare: SensorTraits = {
  lagS: 120,
  noiseK: 0,
  noiseRhPercent: 0,
  stepTemperature: 0.1,
  stepHumidity: 0.5,
  offsetK: 0,
  driftKPerMonth: 0,
  outageEveryH: 1e9,
  outageMin: 10,
  buffers: false,
  timeFormat: 'iso',
  batteryDays: 0,
};
const sensorOf = (body: object): Sensor =>
  farmFile.shape.sensors
    .unwrap()
    .element.parse({ id: 's', topic: 'x/s', decoder: 'plain', at: 'warm', everyS: 60, ...body });
const plain = sensorOf({ channels: [{ quantity: 'temperature', unit: 'degC' }] });
const packed = sensorOf({
  decoder: 'json',
  timePointer: '/when/sent',
  channels: [
    { quantity: 'temperature', unit: 'degF', pointer: '/v/0' },
    { quantity: 'humidity', unit: 'fraction', pointer: '/v/1' },
    { quantity: 'probe-temperature', unit: 'K', pointer: '/a~1b/m~0n' },
  ],
});
const begin = (spec: Sensor, traits: Partial<SensorTraits>, tempC = () => 20) => {
  const all = { ...bare, ...traits };
  const state = freshSensorState(spec, all, around(tempC), someMorning, createRandom(3));
  return createSensor(spec, all, state, around(tempC), 60);
};

/** Reads a payload as intake would. */
const decoded = (spec: Sensor, payload: string) => {
  const found: { channel: number; value: number; t: number }[] = [];
  const decode = decoders[spec.decoder].compile(spec);
  decode(Buffer.from(payload), spec.topic, {
    take: (channel, value, t) => found.push({ channel, value, t }),
    refuse: (reason, where) => {
      throw new Error(`${reason} at ${where}`);
    },
  });
  return found;
};

describe('a simulated sensor', () => {
  it('follows its air with its lag and tells it in its own steps', () => {
    let airC = 20;
    const sensor = begin(plain, { lagS: 60 }, () => airC);
    airC = 30;
    sensor.feel(someMorning);
    expect(sensor.send(0)[0]!.payload).toBe('26.3');
    for (let i = 0; i < 30; i += 1) sensor.feel(someMorning);
    expect(sensor.send(0)[0]!.payload).toBe('30');
  });

  it('speaks at its own pace, or more seldom when history is made thinly', () => {
    const sensor = begin(plain, {});
    const [first, second] = [sensor.send(0)[0]!.t, sensor.send(300)[0]!.t];
    expect(second - first).toBe(60_000);
    expect(sensor.nextAt() - second).toBe(300_000);
  });

  it('tells of a cooler as a contact or a plug does, at once and read back by intake', () => {
    let on = 0;
    const tellers = (['state', 'fraction', '%', 'W'] as const).flatMap((unit) =>
      (['plain', 'json'] as const).map((decoder) => {
        const power = unit === 'W' ? { onAboveW: 120 } : {};
        const pointer = decoder === 'json' ? { pointer: '/cooler' } : {};
        const spec = sensorOf({ decoder, channels: [{ quantity: 'cooler-on', unit, ...power, ...pointer }] });
        const air = { ...around(() => 20), coolerOn: () => on };
        const state = freshSensorState(spec, bare, air, someMorning, createRandom(3));
        return { spec, unit, sensor: createSensor(spec, bare, state, air, 60) };
      }),
    );
    let t = someMorning;
    for (const now of [0, 1, 1, 0]) {
      on = now;
      t += 60_000;
      for (const { spec, unit, sensor } of tellers) {
        sensor.feel(t);
        const { value } = decoded(spec, sensor.send(0)[0]!.payload)[0]!;
        expect(toSi(value, unit, 'cooler-on', 120)).toBe(100 * now);
      }
    }
    const [plainState, jsonState] = tellers.map(({ sensor }) => sensor.send(0)[0]!.payload);
    expect([plainState, jsonState]).toEqual(['OFF', '{"cooler":false}']);
  });

  it('of a cooler speaks as it switches, and else no oftener than it is to', () => {
    let on = 0;
    const spec = sensorOf({ decoder: 'plain', channels: [{ quantity: 'cooler-on', unit: 'state' }] });
    const air = { ...around(() => 20), coolerOn: () => on };
    const state = freshSensorState(spec, bare, air, someMorning, createRandom(3));
    const sensor = createSensor(spec, bare, state, air, 60);
    const told: [minute: number, payload: string][] = [];
    for (let minute = 1; minute <= 60; minute += 1) {
      const t = someMorning + 60_000 * minute;
      on = minute >= 20 && minute < 33 ? 1 : 0;
      sensor.feel(t);
      while (sensor.nextAt() <= t) for (const { payload } of sensor.send(900)) told.push([minute, payload]);
    }
    expect(told).toContainEqual([20, 'ON']);
    expect(told).toContainEqual([33, 'OFF']);
    expect(told.length).toBeLessThan(8);
  });

  it('is silent in a drop-out, and one that buffers tells afterwards what it kept', () => {
    const silent = begin(plain, { outageEveryH: 0.5, outageMin: 8 });
    const buffering = begin(packed, { outageEveryH: 0.5, outageMin: 8, buffers: true });
    const hour = (sensor: typeof silent) => Array.from({ length: 240 }, () => sensor.send(0));
    const counts = hour(silent).map(({ length }) => length);
    expect(counts).toContain(0);
    expect(Math.max(...counts)).toBe(1);
    const sendings = hour(buffering);
    const late = sendings.find(({ length }) => length > 1)!;
    const times = late.map(({ payload }) => decoded(packed, payload)[0]!.t);
    expect(times).toEqual([...times].sort((a, b) => a - b));
    expect(late.at(-1)!.t - times[0]!).toBeGreaterThan(60_000);
    expect(new Set(late.map(({ t }) => t)).size).toBe(1);
  });

  it('drifts, and its battery runs down', () => {
    const spec = sensorOf({
      decoder: 'json',
      channels: [
        { quantity: 'temperature', unit: 'degC', pointer: '/t' },
        { quantity: 'battery', unit: '%', pointer: '/b' },
      ],
    });
    const sensor = begin(spec, { driftKPerMonth: 1, batteryDays: 100 });
    const before = decoded(spec, sensor.send(0)[0]!.payload);
    for (let minute = 0; minute < 30 * 24 * 60; minute += 1) sensor.feel(someMorning);
    const after = decoded(spec, sensor.send(0)[0]!.payload);
    expect(after[0]!.value - before[0]!.value).toBeCloseTo(1, 1);
    expect(before[1]!.value - after[1]!.value).toBeCloseTo(30, -0.5);
  });

  it.each(['iso', 'seconds', 'milliseconds'] as const)(
    'writes payloads that intake reads back: %s',
    (format) => {
      const values = [68, 0.6, 299.15];
      const t = someMorning + 5_000;
      const found = decoded(packed, encode(packed, values, t, format));
      expect(found).toEqual(values.map((value, channel) => ({ channel, value, t })));
    },
  );

  it('knows the units of the farm file', () => {
    expect(inUnit(20, 'degF')).toBe(68);
    expect(inUnit(20, 'K')).toBeCloseTo(293.15, 10);
    expect(inUnit(60, 'fraction')).toBe(0.6);
    expect(inUnit(101_300, 'hPa')).toBe(1_013);
    expect(inUnit(100, 'V')).toBeCloseTo(3, 10);
  });

  it('is drawn for every sensor of Fernhollow with errors of a real part', () => {
    const random = createRandom(1);
    for (const spec of farmOf(calmScenario).sensors) {
      const traits = drawTraits(spec, random);
      expect(Math.abs(traits.offsetK)).toBeLessThan(1);
      expect(traits.buffers && spec.timePointer === undefined).toBe(false);
    }
  });
});
