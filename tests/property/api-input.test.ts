import fc from 'fast-check';
import { describe, expect, it, vi } from 'vitest';
import { problemDetails } from '../../shared/api/problem.ts';
import { build } from '../unit/dashboard/server/build.ts';

vi.setConfig({ testTimeout: 120_000 });
const seed = 20260214;

const bodies = fc.oneof(
  fc.jsonValue(),
  fc.record(
    {
      id: fc.oneof(fc.string(), fc.jsonValue()),
      t: fc.oneof(fc.integer(), fc.jsonValue()),
      who: fc.oneof(fc.string(), fc.jsonValue()),
      batch: fc.oneof(fc.string(), fc.jsonValue()),
      kind: fc.constantFrom(
        'made',
        'placed',
        'moved',
        'checked',
        'shaken',
        'used',
        'discarded',
        'noted',
        'undone',
        'scheduled',
        'begun',
        'measured',
        'ended',
        'x',
      ),
      bags: fc.oneof(fc.array(fc.integer()), fc.jsonValue()),
      share: fc.oneof(fc.double(), fc.jsonValue()),
      inoculation: fc.oneof(
        fc.record({ way: fc.constantFrom('agar-wedges', 'liquid-culture', 'y') }),
        fc.jsonValue(),
      ),
      unload: fc.oneof(fc.string(), fc.jsonValue()),
      room: fc.oneof(fc.constant('warm-room'), fc.jsonValue()),
      load: fc.oneof(
        fc.record({ container: fc.string(), count: fc.integer(), startC: fc.constant(null) }),
        fc.jsonValue(),
      ),
      options: fc.oneof(fc.constant({ fan: false, extraCoolingW: 0 }), fc.jsonValue()),
      at: fc.oneof(fc.double(), fc.jsonValue()),
      act: fc.constantFrom('acknowledge', 'shelve', 'z'),
      alarm: fc.string(),
      speed: fc.oneof(fc.double(), fc.jsonValue()),
      week: fc.string(),
    },
    { requiredKeys: [] },
  ),
);
const changePaths = fc.constantFrom(
  '/api/sites/farm/events',
  '/api/sites/training/events',
  '/api/sites/farm/unloads/events',
  '/api/sites/farm/alarms/act',
  '/api/training/start',
  '/api/training/speed',
  '/api/training/pause',
  '/api/training/stop',
);

describe('whatever is sent', () => {
  it('a change is done or refused with a whole problem, never a fault inside', async () => {
    const { post, logged } = build();
    // Each request from an address of its own would be no different; the limit on changes is tested apart.
    let turn = 0;
    const answers = fc.asyncProperty(changePaths, bodies, async (path, body) => {
      turn += 1;
      const response = await post(path, body);
      if (response.statusCode < 300) return;
      expect(response.headers['content-type']).toBe('application/problem+json');
      const problem = problemDetails.strict().parse(response.json());
      expect(problem.status).toBe(response.statusCode);
      expect(problem.status).toBeLessThan(500);
      expect(problem.detail).not.toMatch(/undefined|\[object/);
    });
    await fc.assert(answers, { seed, numRuns: 250 });
    expect(turn).toBe(250);
    expect(logged).toEqual([]);
  });

  it('a question is answered or refused, never a fault inside', async () => {
    const { get, logged } = build();
    const text = fc.oneof(fc.string({ unit: 'grapheme' }), fc.double().map(String), fc.integer().map(String));
    const query = fc.dictionary(
      fc.constantFrom('channel', 'from', 'to', 'maxPoints', 'limit', 'alarm', '__proto__'),
      text,
    );
    const paths = fc.oneof(
      fc.constantFrom('/api/sites/farm/series', '/api/sites/farm/alarms/journal', '/api/sites/farm/live'),
      fc
        .string({ unit: 'grapheme', maxLength: 30 })
        .map((id) => `/api/sites/farm/batches/${encodeURIComponent(id)}`),
      fc.string({ maxLength: 30 }).map((path) => `/${path}`),
    );
    const answers = fc.asyncProperty(paths, query, async (path, parameters) => {
      const search = Object.entries(parameters).map(([key, value]) => `${key}=${encodeURIComponent(value)}`);
      const url = `${path.replaceAll(/[^\x21-\x7e]/g, '')}?${search.join('&')}`;
      fc.pre(URL.canParse(url, 'http://localhost'));
      const response = await get(url);
      expect(response.statusCode).toBeLessThan(500);
      if (response.statusCode >= 400) problemDetails.strict().parse(response.json());
    });
    await fc.assert(answers, { seed, numRuns: 250 });
    expect(logged).toEqual([]);
  });
});
