import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Decode, Refusal } from '../../../collector/intake/decoders/decoder.ts';
import { decoders, guessDecoder } from '../../../collector/intake/decoders/registry.ts';
import { sensorTimeOf } from '../../../collector/intake/decoders/sensor-time.ts';
import { smallFarm } from '../../tools/small-farm.ts';

const [plain, json, plainState, jsonState] = smallFarm([
  {
    id: 'p',
    topic: 'p',
    decoder: 'plain',
    at: 'warm',
    channels: [{ quantity: 'temperature', unit: 'degC' }],
  },
  {
    id: 'j',
    topic: 'j',
    decoder: 'json',
    at: 'warm',
    timePointer: '/at',
    channels: [
      { quantity: 'temperature', unit: 'degC', pointer: '/t' },
      { quantity: 'humidity', unit: '%', pointer: '/deep/0/rh' },
    ],
  },
  {
    ...{ id: 'ps', topic: 'ps', decoder: 'plain', at: 'warm' },
    channels: [{ quantity: 'cooler-on', unit: 'state' }],
  },
  {
    ...{ id: 'js', topic: 'js', decoder: 'json', at: 'warm' },
    channels: [{ quantity: 'cooler-on', unit: 'state', pointer: '/t' }],
  },
]).file.sensors.map((sensor) => decoders[sensor.decoder].compile(sensor)) as [Decode, Decode, Decode, Decode];

function run(decode: typeof plain, payload: Uint8Array | string) {
  const values: [channel: number, value: number, t: number][] = [];
  const refused: Refusal[] = [];
  const bytes = typeof payload === 'string' ? Buffer.from(payload) : payload;
  decode(bytes, 'topic', {
    take: (channel, value, t) => values.push([channel, value, t]),
    refuse: (reason) => refused.push(reason),
  });
  return { values, refused };
}

const anyBytes = fc.uint8Array({ maxLength: 300 });
/** Nearly right documents find more than random bytes do. */
const nearly = fc
  .record({
    at: fc.oneof(fc.double(), fc.string(), fc.constant(null)),
    t: fc.oneof(fc.double(), fc.string(), fc.jsonValue()),
    deep: fc.oneof(fc.jsonValue(), fc.array(fc.record({ rh: fc.oneof(fc.double(), fc.jsonValue()) }))),
  })
  .map((document) => Buffer.from(JSON.stringify(document)));

describe('laws of decoders', () => {
  it.each([
    ['plain', plain],
    ['json', json],
  ] as const)('%s: whatever comes, nothing is thrown and only finite numbers are taken', (_name, decode) => {
    fc.assert(
      fc.property(fc.oneof(anyBytes, nearly), (payload) => {
        const { values, refused } = run(decode, payload);
        for (const [channel, value, t] of values) {
          expect(Number.isFinite(value)).toBe(true);
          expect(Number.isNaN(t) || Number.isSafeInteger(t)).toBe(true);
          expect(channel).toBeLessThan(2);
        }
        expect(values.length + refused.length).toBeGreaterThan(0);
        expect(guessDecoder(payload)).toEqual(expect.any(String));
      }),
      { seed: 51, numRuns: 2000 },
    );
  });

  it.each([
    ['plain', plainState, (text: string) => text],
    ['json', jsonState, (text: string) => JSON.stringify({ t: text })],
  ] as const)(
    '%s: a state is on or off in its words and numbers, and nothing else is',
    (_name, decode, write) => {
      const words = ['on', 'true', '1', 'off', 'false', '0'];
      const text = fc.oneof(fc.constantFrom(...words), fc.string(), fc.double().map(String));
      fc.assert(
        fc.property(text, fc.boolean(), (said, loud) => {
          const word = loud ? said.toUpperCase() : said;
          const { values, refused } = run(decode, write(word));
          const at = words.indexOf(word.trim().toLowerCase());
          expect(values.map(([, value]) => value)).toEqual(at < 0 ? [] : [at < 3 ? 1 : 0]);
          expect(refused).toHaveLength(at < 0 ? 1 : 0);
        }),
        { seed: 54, numRuns: 1000 },
      );
      fc.assert(
        fc.property(fc.oneof(anyBytes, nearly), (payload) => {
          for (const [, value] of run(decode, payload).values) expect([0, 1]).toContain(value);
        }),
        { seed: 55, numRuns: 500 },
      );
    },
  );

  it('a finite number comes out of its own text as it went in, plain and in JSON', () => {
    fc.assert(
      fc.property(fc.double({ noNaN: true, noDefaultInfinity: true }), (value) => {
        expect(run(plain, String(value)).values).toEqual([[0, value, Number.NaN]]);
        const time = 1_700_000_000_000;
        const { values } = run(json, JSON.stringify({ at: time, t: value, deep: [{ rh: String(value) }] }));
        // JSON.stringify writes -0 as 0.
        expect(values).toEqual([
          [0, value === 0 ? 0 : value, time],
          [1, value, time],
        ]);
      }),
      { seed: 52 },
    );
  });

  it('an instant comes back from each way of writing it', () => {
    const instants = fc.integer({ min: Date.UTC(2015, 0), max: Date.UTC(2099, 0) });
    fc.assert(
      fc.property(instants, fc.integer({ min: -14 * 60, max: 14 * 60 }), (ms, zoneMinutes) => {
        expect(sensorTimeOf(ms)).toBe(ms);
        expect(sensorTimeOf(String(ms))).toBe(ms);
        expect(sensorTimeOf(ms / 1000)).toBe(ms);
        expect(sensorTimeOf(Math.floor(ms / 1000))).toBe(Math.floor(ms / 1000) * 1000);
        expect(sensorTimeOf(new Date(ms).toISOString())).toBe(ms);
        const sign = zoneMinutes < 0 ? '-' : '+';
        const size = Math.abs(zoneMinutes);
        const two = (count: number) => String(count).padStart(2, '0');
        const local = new Date(ms + zoneMinutes * 60_000).toISOString().slice(0, -1);
        const zone = `${sign}${two(Math.floor(size / 60))}:${two(size % 60)}`;
        expect(sensorTimeOf(`${local}${zone}`)).toBe(ms);
        expect(sensorTimeOf(`${local.replaceAll(/[-:]/g, '')}${zone.replace(':', '')}`)).toBe(ms);
      }),
      { seed: 53 },
    );
  });
});
