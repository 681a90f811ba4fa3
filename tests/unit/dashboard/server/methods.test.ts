import { expect, it } from 'vitest';
import { build } from './build.ts';

it.each([
  ['PUT', '/api/sites/farm/live', 'GET, HEAD'],
  ['DELETE', '/api/sites/farm/batches/B-0001', 'GET, HEAD'],
  ['GET', '/api/sites/farm/events', 'POST'],
  ['POST', '/api/sites/farm/series', 'GET, HEAD'],
  ['PATCH', '/metrics', 'GET, HEAD'],
  ['DELETE', '/rooms', 'GET, HEAD'],
] as const)('%s %s is answered with what is allowed', async (method, url, allow) => {
  const { app } = build();
  const response = await app.inject({ method, url });
  expect(response.statusCode).toBe(405);
  expect(response.headers.allow).toBe(allow);
  expect(response.headers['content-type']).toContain('application/problem+json');
  expect(response.json()).toMatchObject({ status: 405, detail: expect.stringContaining(allow) });
});

it.each(['/api/sites/farm/nothing', '/api/sites', '/nothing.png'])('%s stays unknown', async (url) => {
  const { app } = build();
  const response = await app.inject({ method: 'PUT', url });
  expect(response.statusCode).toBe(404);
  expect(response.headers.allow).toBeUndefined();
});

it('a name that is not ours is refused all the same', async () => {
  const { app } = build();
  const response = await app.inject({ method: 'PUT', url: '/rooms', headers: { host: 'evil.example' } });
  expect(response.statusCode).toBe(403);
});
