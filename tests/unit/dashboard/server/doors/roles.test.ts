import fastify from 'fastify';
import { describe, expect, it } from 'vitest';
import { accessTable } from '../../../../../dashboard/server/doors/access.ts';
import { addDoorCheck } from '../../../../../dashboard/server/doors/check.ts';
import { isAtLeast, mayEnter, type Role } from '../../../../../shared/doors.ts';
import { build } from '../build.ts';
import { buildFarm } from './entered.ts';

/** A path that the route answers, whatever it then says of what does not exist. */
const pathOf = (url: string): string =>
  url
    .replace(':site', 'farm')
    .replace(':batch', 'B-0001')
    .replace(':bag', '1')
    .replace(':id', 'AAAAAAAAAAAAAAAA');
const routes = Object.entries(accessTable).map(([route, access]) => {
  const [method, url] = route.split(' ') as ['GET' | 'POST', string];
  return { route, method, path: pathOf(url), access };
});
const roles: Role[] = ['viewer', 'operator', 'admin'];

describe('who may call what', () => {
  it('holds for every route, for everybody who might call it', async () => {
    const farm = await buildFarm();
    const callers: Record<string, Record<string, string>> = { nobody: {}, admin: farm.ida };
    for (const role of ['viewer', 'operator'] as const)
      callers[role] = { cookie: (await farm.add(`A ${role}`, role)).cookie };
    callers.wall = { cookie: (await farm.pair({ rooms: null, mayAcknowledge: false })).cookie };
    callers['acknowledging wall'] = {
      cookie: (await farm.pair({ rooms: null, mayAcknowledge: true })).cookie,
    };
    for (const scope of ['read', 'bags', 'alarms'] as const)
      callers[`key ${scope}`] = { authorization: (await farm.makeKey([scope])).authorization };

    const wrong: string[] = [];
    for (const { route, method, path, access } of routes) {
      // A stream stays open, and these would end the sessions that the rest needs.
      if (route.endsWith('/stream') || /sign-out|set-up|\/password/.test(route)) continue;
      for (const [caller, headers] of Object.entries(callers)) {
        const expected =
          access.role === 'anyone' ||
          (roles.includes(caller as Role) && isAtLeast(caller as Role, access.role)) ||
          (caller === 'wall' && access.wall === 'read') ||
          (caller === 'acknowledging wall' && access.wall !== undefined) ||
          (caller.startsWith('key ') && `key ${access.scope}` === caller);
        const { statusCode, body } = await farm.app.inject({
          method,
          url: path,
          headers: { ...headers, ...(method === 'POST' ? { 'content-type': 'application/json' } : {}) },
          ...(method === 'POST' ? { payload: '{}' } : {}),
        });
        const code = statusCode >= 400 && statusCode !== 503 ? JSON.parse(body).code : '';
        const shutOut = code === 'not-signed-in' || (statusCode === 403 && /may not do this/.test(body));
        if (shutOut === expected) wrong.push(`${route} by ${caller}: ${statusCode}`);
        if (!expected && statusCode !== (caller === 'nobody' ? 401 : 403))
          wrong.push(`${route} by ${caller} is refused with ${statusCode}`);
      }
    }
    expect(wrong).toEqual([]);
  });

  it('knows a line for every route, and no line without a route', async () => {
    const { app, get } = build();
    await app.ready();
    const described = (await get('/api/openapi.json')).json().paths as Record<string, object>;
    const there = Object.entries(described).flatMap(([path, methods]) =>
      Object.keys(methods).map(
        (method) => `${method.toUpperCase()} ${path.replaceAll(/\{(\w+)\}/g, ':$1').replace(/(.)\/$/, '$1')}`,
      ),
    );
    const hidden = ['GET /api/openapi.json'];
    expect([...there, ...hidden].sort()).toEqual(Object.keys(accessTable).sort());
  });

  it('takes no route that nobody placed', () => {
    const { doors } = build();
    const app = fastify();
    addDoorCheck(app, doors);
    expect(() => app.get('/api/forgotten', async () => 'x')).toThrow('says nowhere who may call it');
  });

  it('says who can', async () => {
    const farm = await buildFarm();
    const { cookie } = await farm.add('Vera', 'viewer');
    const refused = await farm.post('/api/doors/people', { name: 'X', role: 'admin' }, { cookie });
    expect(refused.statusCode).toBe(403);
    expect(refused.json().detail).toBe('Vera (viewer) may not do this; an admin can.');
  });

  it('lets everybody in where the demo is open', () => {
    for (const { access } of routes) expect(mayEnter({ kind: 'demo' }, access)).toBe(true);
  });
});
