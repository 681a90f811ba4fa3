import { describe, expect, it } from 'vitest';
import { hostName } from '../../../../dashboard/server/guards.ts';
import { build } from './build.ts';

const event = { id: 'event-0001', t: 1, who: 'Ada', batch: 'B-0001', kind: 'noted', text: 'x' };
const url = '/api/sites/farm/events';
/** Passed the guards: refused only by the desk, which knows no such batch. */
const passed = 409;

describe('the name a request asks for', () => {
  it.each([
    ['localhost', 200],
    ['LOCALHOST:8080', 200],
    ['127.0.0.1:8080', 200],
    ['[::1]:8080', 200],
    ['localhost.', 200],
    ['farm.example:8080', 200],
    ['evil.example', 403],
    ['localhost.evil.example', 403],
    ['127.0.0.1.evil.example', 403],
    ['127.0.0.1@evil.example', 403],
  ])('%j -> %i', async (host, status) => {
    const { get } = build({ hostNames: ['farm.example'] });
    const response = await get('/api/sites/farm/live', { host });
    expect(response.statusCode).toBe(status);
    if (status === 403)
      expect(response.json()).toMatchObject({
        code: 'refused',
        detail: expect.stringContaining('localhost'),
      });
  });

  it('holds for pages and files too', async () => {
    const { get } = build();
    for (const path of ['/', '/rooms', '/icon.svg', '/nothing.png'])
      expect((await get(path, { host: 'evil.example' })).statusCode).toBe(403);
  });

  it.each([
    ['[::1]:80', '[::1]'],
    ['A.b:1', 'a.b'],
    ['a.b.', 'a.b'],
    ['a.b', 'a.b'],
  ])('without its port: %s', (host, name) => expect(hostName(host)).toBe(name));
});

describe('a change', () => {
  it.each<[string, Record<string, string>, number]>([
    ['from a program', {}, passed],
    [
      'from our own page',
      { origin: 'http://localhost:80', host: 'localhost:80', 'sec-fetch-site': 'same-origin' },
      passed,
    ],
    ['typed by the user', { 'sec-fetch-site': 'none' }, passed],
    ['from another site', { 'sec-fetch-site': 'cross-site' }, 403],
    ['from another port of this machine', { 'sec-fetch-site': 'same-site' }, 403],
    ['from another origin', { origin: 'http://evil.example' }, 403],
    ['from another port by origin', { origin: 'http://localhost:9999', host: 'localhost:80' }, 403],
    ['from a page without origin', { origin: 'null' }, 403],
  ])('%s', async (_, headers, status) => {
    const { post } = build();
    expect((await post(url, event, headers)).statusCode).toBe(status);
  });

  it('is never made by reading', async () => {
    const { app, live } = build();
    for (const path of ['/api/sites/farm/events', '/api/training/start', '/api/sites/farm/alarms/act'])
      expect((await app.inject({ url: path })).statusCode).toBe(405);
    expect(live.events).toEqual([]);
  });
});

describe('the headers of every answer', () => {
  it.each(['/', '/api/sites/farm/live', '/api/nothing', '/health', '/icon.svg'])('%s', async (path) => {
    const { get } = build();
    const { headers } = await get(path);
    const policy = String(headers['content-security-policy']);
    expect(policy).toContain("default-src 'none'");
    expect(policy).toContain("script-src 'self'");
    expect(policy).toContain("frame-ancestors 'none'");
    expect(policy).not.toMatch(/unsafe|upgrade-insecure|https?:|\*|data:/);
    expect(headers['x-content-type-options']).toBe('nosniff');
    expect(headers['referrer-policy']).toBe('no-referrer');
    expect(headers['cross-origin-resource-policy']).toBe('same-origin');
    expect(headers).not.toHaveProperty('strict-transport-security');
    expect(headers).not.toHaveProperty('x-powered-by');
    expect(headers).not.toHaveProperty('access-control-allow-origin');
  });
});

describe('a flood of changes from one address', () => {
  it('is stopped with how long to wait, and never stops acknowledging', async () => {
    const { post } = build();
    for (let turn = 0; turn < 300; turn++) expect((await post(url, event)).statusCode).toBe(passed);
    const stopped = await post(url, event);
    expect(stopped.statusCode).toBe(429);
    expect(stopped.json()).toMatchObject({
      code: 'too-many',
      detail: expect.stringMatching(/300 changes.*wait/),
    });
    expect(Number(stopped.headers['retry-after'])).toBeGreaterThan(0);
    const act = { alarm: 'high/warm-air.temperature', act: 'acknowledge', who: 'Ada' };
    expect((await post('/api/sites/farm/alarms/act', act)).statusCode).toBe(200);
  });
});
