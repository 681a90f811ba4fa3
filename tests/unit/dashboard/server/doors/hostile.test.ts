import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { createPeople } from '../../../../../dashboard/server/doors/people.ts';
import { dayMs } from '../../../../../shared/time.ts';
import { buildFarm, cookiesOf, password } from './entered.ts';

const live = '/api/sites/farm/live';
const web = fileURLToPath(new URL('../../../../../dashboard/web/', import.meta.url));

describe('a page elsewhere', () => {
  it.each(['cross-site', 'same-site'])('reads no stream of a signed-in browser: %s', async (site) => {
    const { get, ida } = await buildFarm();
    for (const path of [live, '/api/sites/farm/stream', '/api/doors/journal'])
      expect((await get(path, { ...ida, 'sec-fetch-site': site, 'sec-fetch-mode': 'cors' })).statusCode).toBe(
        403,
      );
  });

  it('cannot be made the target of a redirect: there is none', async () => {
    const { get } = await buildFarm();
    const targets = [
      '//evil.example',
      '/%2f%2fevil.example',
      '/\\evil.example',
      '/?next=https://evil.example',
      '/join?to=//evil.example',
    ];
    for (const target of targets) {
      const { statusCode, headers } = await get(target);
      expect(statusCode, target).not.toBeGreaterThanOrEqual(500);
      expect(Math.floor(statusCode / 100), target).not.toBe(3);
      expect(headers, target).not.toHaveProperty('location');
    }
  });

  it('is no reason to let somebody in, nor is our own named as the origin', async () => {
    const { get } = await buildFarm();
    expect((await get(live, { origin: 'http://localhost:80' })).statusCode).toBe(401);
  });
});

describe('what a request may hold', () => {
  it('no key that reaches a prototype', async () => {
    const { app, ida } = await buildFarm();
    for (const payload of [
      '{"__proto__":{"role":"admin"},"name":"Eve"}',
      '{"constructor":{"prototype":{"role":"admin"}}}',
    ]) {
      const headers = { ...ida, 'content-type': 'application/json' };
      const answer = await app.inject({ method: 'POST', url: '/api/doors/people', headers, payload });
      expect(answer.statusCode).toBe(400);
    }
    expect(({} as { role?: string }).role).toBeUndefined();
  });

  it('no field beyond those of its schema, such as a role in an invitation that is taken up', async () => {
    const farm = await buildFarm();
    const invited = await farm.post('/api/doors/people', { name: 'Eve', role: 'viewer' }, farm.ida);
    const link = invited.json().link.split('#')[1];
    const joining = await farm.post('/api/doors/join', { link, password, role: 'admin' });
    expect(joining.statusCode).toBe(400);
    expect(farm.doors.people.named('Eve')).toMatchObject({ role: 'viewer', hasPassword: false });
  });

  it('no parameter twice', async () => {
    const { get, ida } = await buildFarm();
    expect((await get('/api/doors/journal?limit=1&limit=2', ida)).statusCode).toBe(400);
  });

  it('no words for the database, which takes them as a name', async () => {
    const farm = await buildFarm();
    const name = `x'); DROP TABLE person; --`;
    expect((await farm.post('/api/doors/people', { name, role: 'viewer' }, farm.ida)).statusCode).toBe(201);
    expect((await farm.get('/api/doors/people', farm.ida)).json()).toHaveLength(2);
    const found = await farm.get(`/api/doors/journal?who=${encodeURIComponent(`' OR 1=1 --`)}`, farm.ida);
    expect(found.json().lines).toEqual([]);
  });

  it('no session in its address', async () => {
    const { get, ida } = await buildFarm();
    for (const query of [`session=${ida.cookie.split('=')[1]}`, ida.cookie])
      expect((await get(`${live}?${query}`)).statusCode).toBe(401);
  });

  it('no line break that becomes a header or a line of the journal', async () => {
    const farm = await buildFarm();
    const name = 'Eve\r\nset-cookie: shelfwarden-session=planted';
    const refused = await farm.post('/api/doors/sign-in', { name, password });
    expect(refused.statusCode).toBe(401);
    expect(refused.cookies).toEqual([]);
    const csv = (await farm.get('/api/doors/journal.csv', farm.ida)).body;
    expect(csv.split(/\r?\n/).filter((line) => line.startsWith('set-cookie'))).toEqual([]);
  });

  it('nothing that a screen would take for HTML of its own', () => {
    const sources = readdirSync(web, { recursive: true, encoding: 'utf8' }).filter((file) =>
      /\.tsx?$/.test(file),
    );
    expect(sources.length).toBeGreaterThan(50);
    for (const file of sources)
      expect(readFileSync(join(web, file), 'utf8'), file).not.toMatch(
        /dangerouslySetInnerHTML|\.(inner|outer)HTML|insertAdjacentHTML|document\.write|\beval\(|new Function\(/,
      );
  });
});

describe('a password', () => {
  it('may be any text of up to 128 characters, and each of them counts', async () => {
    const farm = await buildFarm();
    const emoji = '🍄🌾🪵🧺🌡️🫧🍂🌦️🪺🦔🌙☕';
    const long = `${'two  spaces '.repeat(10)}12345678`;
    expect([...long]).toHaveLength(128);
    for (const [name, chosen, wrong] of [
      ['Emoji', emoji, emoji.replace('☕', '🍵')],
      ['Long', long, `${long.slice(0, 127)}x`],
    ] as const) {
      const invited = await farm.post('/api/doors/people', { name, role: 'viewer' }, farm.ida);
      const link = invited.json().link.split('#')[1];
      expect((await farm.post('/api/doors/join', { link, password: chosen })).statusCode).toBe(200);
      expect((await farm.post('/api/doors/sign-in', { name, password: wrong })).statusCode).toBe(401);
      expect((await farm.post('/api/doors/sign-in', { name, password: chosen })).statusCode).toBe(200);
    }
  });

  it('needs no renewal: it opens after two years', async () => {
    const farm = await buildFarm();
    const later = { now: () => farm.clock.now() + 730 * dayMs };
    const people = createPeople({ database: farm.database, clock: later });
    expect(await people.signIn('Ida', password)).toMatchObject({ name: 'Ida' });
  });
});

describe('signing out', () => {
  it('ends the session for whoever still holds its cookie, and leaves no page behind', async () => {
    const { post, get, ida } = await buildFarm();
    const seen = await get(live, ida);
    expect(seen.headers['cache-control']).toBe('no-store');
    const out = await post('/api/doors/sign-out', {}, ida);
    expect(out.cookies[0]).toMatchObject({ name: 'shelfwarden-session', value: '', maxAge: 0 });
    expect((await get(live, ida)).statusCode).toBe(401);
  });

  it('a session has 256 bits, and each is another', async () => {
    const { post } = await buildFarm();
    const signIn = async () =>
      cookiesOf(await post('/api/doors/sign-in', { name: 'Ida', password })).split('=')[1]!;
    const [one, other] = [await signIn(), await signIn()];
    expect(one).not.toBe(other);
    for (const id of [one, other]) expect(Buffer.from(id, 'base64url')).toHaveLength(32);
  });
});

describe('an answer', () => {
  it.each(['/', live, '/api/doors', '/api/nothing', '/metrics'])(
    'says its type and its characters: %s',
    async (path) => {
      const { get, ida } = await buildFarm();
      const type = String((await get(path, ida)).headers['content-type']);
      // JSON is UTF-8 by its own rule (RFC 8259, 8.1) and takes no charset.
      expect(type).toMatch(/charset=utf-8|^application\/(problem\+)?json$/i);
    },
  );
});

describe('an answer of the API', () => {
  it.each([
    [live, 'api.json'],
    ['/api/doors', 'api.json'],
    ['/api/nothing', 'api.json'],
    ['/api/openapi.json', 'api.json'],
    ['/api/doors/journal.csv', 'doors.csv'],
  ])('is drawn as no page: %s', async (path, name) => {
    const { get, ida } = await buildFarm();
    const { headers } = await get(path, ida);
    expect(headers['content-disposition']).toBe(`attachment; filename="${name}"`);
  });
});

describe('an address that guessed too often', () => {
  it('still acknowledges alarms and reads, where it is signed in', async () => {
    const { post, get, ida, doors } = await buildFarm();
    for (let turn = 0; turn < 10; turn++) doors.attempts.byAddressAndName.wrong('127.0.0.1 ida');
    expect((await post('/api/doors/sign-in', { name: 'Ida', password })).statusCode).toBe(429);
    expect((await get(live, ida)).statusCode).toBe(200);
    const act = { alarm: 'high/warm-air.temperature', act: 'acknowledge', who: '' };
    expect((await post('/api/sites/farm/alarms/act', { ...act, who: 'Ida' }, ida)).statusCode).toBe(200);
  });
});

describe('an open stream', () => {
  it('ends at once when whoever listens is shut out: a person, a wall, a program', async () => {
    const farm = await buildFarm();
    await farm.app.listen({ port: 0, host: '127.0.0.1' });
    const { port } = farm.app.server.address() as { port: number };
    const olaf = await farm.add('Olaf', 'viewer');
    const wall = await farm.pair({ rooms: null, mayAcknowledge: false });
    const key = await farm.makeKey(['read']);
    const follow = async (headers: Record<string, string>) => {
      const answer = await fetch(`http://127.0.0.1:${port}/api/sites/farm/stream`, { headers });
      expect(answer.status).toBe(200);
      const reader = answer.body!.getReader();
      await reader.read();
      return async () => {
        while (!(await reader.read().catch(() => ({ done: true }))).done);
      };
    };
    for (const [headers, shutOut] of [
      [
        { cookie: olaf.cookie },
        () => farm.post(`/api/doors/people/${olaf.id}`, { disabled: true }, farm.ida),
      ],
      [{ cookie: wall.cookie }, () => farm.post(`/api/doors/walls/${wall.id}/revoke`, {}, farm.ida)],
      [
        { authorization: key.authorization },
        () => farm.post(`/api/doors/scripts/${key.id}/revoke`, {}, farm.ida),
      ],
    ] as const) {
      const ended = await follow(headers);
      expect((await shutOut()).statusCode).toBe(200);
      // Without an end this waits until the test is given up.
      await ended();
    }
  });
});
