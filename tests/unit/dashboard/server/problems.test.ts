import { describe, expect, it } from 'vitest';
import { problemDetails } from '../../../../shared/api/problem.ts';
import { build } from './build.ts';

const event = { id: 'event-0001', t: 1, who: 'Ada', batch: 'B-0001', kind: 'checked', share: 0.4 };

describe('problem details', () => {
  it.each<[string, string, unknown, number, string, string]>([
    ['an unknown batch', 'GET /api/sites/farm/batches/B-9', undefined, 404, 'not-found', 'no batch B-9'],
    ['an unknown path', 'GET /api/nothing', undefined, 404, 'not-found', '/api/openapi.json lists'],
    ['a missing file', 'GET /assets/gone.js', undefined, 404, 'not-found', 'nothing at GET /assets/gone.js'],
    ['a path that only another method has', 'DELETE /api/sites/farm/live', {}, 405, 'bad-request', 'DELETE'],
    ['no such site', 'GET /api/sites/barn/live', undefined, 400, 'bad-request', 'one of farm, training'],
    ['a broken address', 'GET /%zz', undefined, 400, 'bad-request', 'begins no valid character'],
    [
      'a query without its channel',
      'GET /api/sites/farm/series?from=1&to=2',
      undefined,
      400,
      'bad-request',
      'add channel',
    ],
    [
      'an empty number',
      'GET /api/sites/farm/series?channel=a&from=&to=2',
      undefined,
      400,
      'bad-request',
      'whole number',
    ],
    [
      'a word for a number',
      'GET /api/sites/farm/series?channel=a&from=x&to=2',
      undefined,
      400,
      'bad-request',
      'whole number',
    ],
    [
      'a span that ends first',
      'GET /api/sites/farm/series?channel=a&from=3&to=2',
      undefined,
      400,
      'bad-request',
      'after from',
    ],
    [
      'too many points',
      'GET /api/sites/farm/series?channel=a&from=1&to=2&maxPoints=1e9',
      undefined,
      400,
      'bad-request',
      'from 2 to 5000',
    ],
    [
      'a misspelt kind',
      'POST /api/sites/farm/events',
      { ...event, kind: 'chekced' },
      400,
      'bad-request',
      'write checked',
    ],
    [
      'a misspelt key',
      'POST /api/sites/farm/events',
      { ...event, bag: [1] },
      400,
      'bad-request',
      'rename it to bags',
    ],
    [
      'a share above one',
      'POST /api/sites/farm/events',
      { ...event, share: 40 },
      400,
      'bad-request',
      'from 0 to 1',
    ],
    ['a list for a body', 'POST /api/sites/farm/events', [], 400, 'bad-request', 'body cannot be used'],
    [
      'what the site refuses',
      'POST /api/sites/farm/events',
      event,
      409,
      'conflict',
      'record how it was made first',
    ],
    [
      'an unknown alarm',
      'POST /api/sites/farm/alarms/act',
      { alarm: 'x', act: 'reset', who: 'Ada' },
      404,
      'not-found',
      'no alarm x',
    ],
    [
      'a misspelt act',
      'POST /api/sites/farm/alarms/act',
      { alarm: 'x', act: 'acknowlege', who: 'Ada' },
      400,
      'bad-request',
      'write acknowledge',
    ],
    [
      'shelving without a reason',
      'POST /api/sites/farm/alarms/act',
      { alarm: 'x', act: 'shelve', who: 'Ada', forMinutes: 5 },
      400,
      'bad-request',
      'add why',
    ],
  ])('%s', async (_, request, body, status, code, part) => {
    const { app } = build();
    const [method, url] = request.split(' ') as ['GET', string];
    const response = await app.inject({
      method,
      url,
      ...(body === undefined
        ? {}
        : { headers: { 'content-type': 'application/json' }, payload: JSON.stringify(body) }),
    });
    expect(response.statusCode).toBe(status);
    expect(response.headers['content-type']).toBe('application/problem+json');
    const problem = problemDetails.strict().parse(response.json());
    expect(problem).toMatchObject({ status, code, type: 'about:blank', instance: url.split('?')[0] });
    expect(problem.detail).toContain(part);
    expect(problem.detail).not.toMatch(/undefined|\[object|another kind/);
  });

  it('lists every field that is wrong, with a pointer to each', async () => {
    const { post } = build();
    const response = await post('/api/sites/farm/events', {
      ...event,
      id: 'x',
      t: -1,
      share: 'half',
      bags: [0],
    });
    const { errors } = response.json();
    expect(errors.map(({ pointer }: { pointer: string }) => pointer).sort()).toEqual([
      '#/bags/0',
      '#/id',
      '#/share',
      '#/t',
    ]);
    expect(errors[0]).toEqual({
      pointer: '#/id',
      detail: 'Found id "x"; wanted text of 8 to 64 characters; write it.',
      found: 'id "x"',
      wanted: 'text of 8 to 64 characters',
      mend: 'write it',
    });
  });

  it.each([
    ['text', 'text/plain', 'x', 415, 'not-json'],
    ['a form', 'application/x-www-form-urlencoded', 'a=b', 415, 'not-json'],
    ['nothing declared', undefined, 'x', 415, 'not-json'],
    ['broken JSON', 'application/json', '{"a":', 400, 'not-json'],
    ['an empty body', 'application/json', '', 400, 'not-json'],
    ['a prototype key', 'application/json', '{"__proto__":{"a":1}}', 400, 'not-json'],
    ['too much', 'application/json', JSON.stringify({ text: 'x'.repeat(70_000) }), 413, 'too-large'],
  ])('%s as a body', async (_, type, payload, status, code) => {
    const { app, live } = build();
    const headers = type === undefined ? {} : { 'content-type': type };
    const response = await app.inject({ method: 'POST', url: '/api/sites/farm/events', headers, payload });
    expect(response.statusCode).toBe(status);
    expect(response.json()).toMatchObject({ status, code });
    expect(live.events).toEqual([]);
  });

  it('keeps what went wrong inside to the log', async () => {
    const { get, live, logged } = build();
    live.desk.series = async () => {
      throw new Error('SQLITE_CORRUPT at /home/ada/farm.db');
    };
    const response = await get('/api/sites/farm/series?channel=a&from=1&to=2');
    expect(response.statusCode).toBe(500);
    expect(response.body).not.toMatch(/SQLITE|ada|stack/);
    expect(response.json()).toMatchObject({
      code: 'internal',
      detail: expect.stringContaining('the log has it'),
    });
    expect(JSON.stringify(logged)).toContain('SQLITE_CORRUPT');
  });

  it('does the same for an answer that does not fit its schema', async () => {
    const { get, live, logged } = build();
    live.desk.found = () => ({ topics: 'many' }) as never;
    const response = await get('/api/sites/farm/found');
    expect(response.statusCode).toBe(500);
    expect(response.json().code).toBe('internal');
    expect(logged).toHaveLength(1);
  });
});
