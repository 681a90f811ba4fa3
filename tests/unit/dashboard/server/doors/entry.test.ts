import { describe, expect, it } from 'vitest';
import { absoluteMs, createSessions, idleMs } from '../../../../../dashboard/server/doors/sessions.ts';
import { dayMs, minuteMs } from '../../../../../shared/time.ts';
import { build } from '../build.ts';
import { buildFarm, cookiesOf, password } from './entered.ts';

const live = '/api/sites/farm/live';

describe('the first person', () => {
  it('sets up from this machine, is an admin, and nobody does so again', async () => {
    const { get, post } = build({ open: false });
    expect((await get(live)).json()).toMatchObject({
      status: 401,
      detail: expect.stringContaining('Nobody'),
    });
    const answer = await post('/api/doors/set-up', { name: 'Ida', password });
    expect(answer.statusCode).toBe(201);
    const entry = (await get('/api/doors', { cookie: cookiesOf(answer) })).json();
    expect(entry).toEqual({
      open: false,
      setUp: true,
      needsCode: false,
      me: { kind: 'person', name: 'Ida', role: 'admin' },
    });
    expect((await post('/api/doors/set-up', { name: 'Eve', password })).statusCode).toBe(403);
  });

  it('needs the code of the console when the request came through other hands', async () => {
    const { post } = build({ open: false });
    const through = { 'x-forwarded-for': '192.0.2.7' };
    const body = { name: 'Ida', password };
    expect((await post('/api/doors/set-up', body, through)).statusCode).toBe(403);
    expect((await post('/api/doors/set-up', { ...body, code: 'XXXX-XXXX' }, through)).statusCode).toBe(403);
    expect((await post('/api/doors/set-up', { ...body, code: 'bcdf ghjk' }, through)).statusCode).toBe(201);
  });

  it.each([
    ['eleven char', 'has 11 characters; choose at least 12'],
    ['Qwerty123456', 'anybody would try'],
    ['x'.repeat(129), 'longer than 128'],
  ])('chooses no password like %j', async (chosen, words) => {
    const { post } = build({ open: false });
    const answer = await post('/api/doors/set-up', { name: 'Ida', password: chosen });
    expect(answer.statusCode).toBe(400);
    expect(answer.json().detail).toContain(words);
  });

  it('is refused a password of 1 MB before any work is done', async () => {
    const { post } = build({ open: false });
    const answer = await post('/api/doors/sign-in', { name: 'Ida', password: 'x'.repeat(1_000_000) });
    expect(answer.statusCode).toBe(413);
  });
});

describe('signing in', () => {
  it('gives a new id each time and ends the one held before (session fixation)', async () => {
    const { post, get, ida } = await buildFarm();
    const planted = await post(
      '/api/doors/sign-in',
      { name: 'ida', password },
      { cookie: 'shelfwarden-session=planted' },
    );
    expect(cookiesOf(planted)).not.toContain('planted');
    const again = await post('/api/doors/sign-in', { name: 'Ida', password }, ida);
    expect(cookiesOf(again)).not.toBe(ida.cookie);
    expect((await get(live, ida)).statusCode).toBe(401);
    expect((await get(live, { cookie: cookiesOf(again) })).statusCode).toBe(200);
  });

  it('sets a cookie that no script can read and no other site can send along', async () => {
    const { post } = await buildFarm();
    const [cookie] = (await post('/api/doors/sign-in', { name: 'Ida', password })).cookies;
    expect(cookie).toMatchObject({ httpOnly: true, sameSite: 'Lax', path: '/', name: 'shelfwarden-session' });
    expect(cookie!.domain).toBeUndefined();
  });

  it('says the same for a wrong name and a wrong password', async () => {
    const { post } = await buildFarm();
    const name = await post('/api/doors/sign-in', { name: 'Nobody', password });
    const word = await post('/api/doors/sign-in', { name: 'Ida', password: 'not this one' });
    expect([name.statusCode, word.statusCode]).toEqual([401, 401]);
    expect(name.json().detail).toBe(word.json().detail);
  });

  it('ten wrong passwords from one address make that address wait, and no other', async () => {
    const { app, clock } = await buildFarm();
    const tryFrom = (remoteAddress: string, tried: string) =>
      app.inject({
        method: 'POST',
        url: '/api/doors/sign-in',
        remoteAddress,
        headers: { 'content-type': 'application/json' },
        payload: JSON.stringify({ name: 'Ida', password: tried }),
      });
    for (let n = 0; n < 10; n++) expect((await tryFrom('192.0.2.1', `wrong ${n}`)).statusCode).toBe(401);
    const waits = await tryFrom('192.0.2.1', password);
    expect(waits.statusCode).toBe(429);
    expect(Number(waits.headers['retry-after'])).toBeGreaterThan(0);
    expect((await tryFrom('192.0.2.2', password)).statusCode).toBe(200);
    clock.advanceBy(15 * minuteMs);
    expect((await tryFrom('192.0.2.1', password)).statusCode).toBe(200);
  });

  it('names in any script are names, and look-alikes are one', async () => {
    const farm = await buildFarm();
    await farm.add('Søren Ångström', 'operator');
    await farm.add('山田 花子', 'viewer');
    const twin = await farm.post(
      '/api/doors/people',
      { name: 'SØREN A\u030Angstro\u0308m', role: 'viewer' },
      farm.ida,
    );
    expect(twin.statusCode).toBe(409);
    const hidden = await farm.post('/api/doors/people', { name: 'Ida\u202E', role: 'viewer' }, farm.ida);
    expect(hidden.statusCode).toBe(400);
    const signedIn = await farm.post('/api/doors/sign-in', { name: 'søren ångström', password });
    expect(signedIn.statusCode).toBe(200);
  });
});

describe('a session', () => {
  it('ends when it was not used for a week, and after a month however often it was', async () => {
    const { get, ida, clock } = await buildFarm();
    for (let day = 0; day < absoluteMs / dayMs - 1; day++) {
      clock.advanceBy(dayMs);
      expect((await get(live, ida)).statusCode).toBe(200);
    }
    clock.advanceBy(dayMs);
    expect((await get(live, ida)).statusCode).toBe(401);

    const other = await buildFarm();
    other.clock.advanceBy(idleMs);
    expect((await other.get(live, other.ida)).statusCode).toBe(401);
  });

  it('does not become eternal when the clock is turned back', async () => {
    const { database, doors, clock } = await buildFarm();
    const { id } = doors.people.named('Ida')!;
    const secret = doors.sessions.open(id, '::1', '');
    const turnedBack = createSessions({ database, clock: { now: () => clock.now() - 400 * dayMs } });
    expect(doors.sessions.actorOf(secret, '::1')).toBeDefined();
    expect(turnedBack.actorOf(secret, '::1')).toBeUndefined();
  });

  it('of somebody disabled ends at once, and signing in is refused', async () => {
    const farm = await buildFarm();
    const olaf = await farm.add('Olaf', 'operator');
    expect((await farm.get(live, { cookie: olaf.cookie })).statusCode).toBe(200);
    await farm.post(`/api/doors/people/${olaf.id}`, { disabled: true }, farm.ida);
    expect((await farm.get(live, { cookie: olaf.cookie })).statusCode).toBe(401);
    expect((await farm.post('/api/doors/sign-in', { name: 'Olaf', password })).statusCode).toBe(401);
    await farm.post(`/api/doors/people/${olaf.id}`, { disabled: false }, farm.ida);
    expect((await farm.post('/api/doors/sign-in', { name: 'Olaf', password })).statusCode).toBe(200);
  });

  it('elsewhere ends when the password changes', async () => {
    const farm = await buildFarm();
    const phone = cookiesOf(await farm.post('/api/doors/sign-in', { name: 'Ida', password }));
    const next = 'another four words';
    const wrong = await farm.post('/api/doors/password', { current: 'no', next }, farm.ida);
    expect(wrong.statusCode).toBe(403);
    const changed = await farm.post('/api/doors/password', { current: password, next }, farm.ida);
    expect(changed.statusCode).toBe(200);
    expect((await farm.get(live, { cookie: phone })).statusCode).toBe(401);
    expect((await farm.get(live, { cookie: cookiesOf(changed) })).statusCode).toBe(200);
  });
});

describe('a change of how somebody enters', () => {
  it('is told to whoever it is about, with who did it and from where', async () => {
    const farm = await buildFarm();
    const olaf = await farm.add('Olaf', 'viewer');
    const { told } = farm;
    expect(told).toMatchObject([{ name: 'Olaf', act: 'join', who: 'Olaf', address: '127.0.0.1' }]);
    await farm.post(`/api/doors/people/${olaf.id}`, { role: 'operator' }, farm.ida);
    await farm.post(`/api/doors/people/${olaf.id}/invite`, {}, farm.ida);
    const next = 'another four words';
    const changed = await farm.post(
      '/api/doors/password',
      { current: password, next },
      { cookie: olaf.cookie },
    );
    expect(told.slice(1).map(({ act, who }) => `${act} ${who}`)).toEqual([
      'change-person Ida',
      'invite-again Ida',
      'change-password Olaf',
    ]);
    const mine = (await farm.get('/api/doors/changes', { cookie: cookiesOf(changed) })).json();
    expect(mine.map(({ act }: { act: string }) => act)).toEqual([
      ...['change-password', 'invite-again', 'change-person', 'join'],
    ]);
    expect((await farm.get('/api/doors/changes', farm.ida)).json()).toEqual([]);
  });

  it('stands on their page for three months', async () => {
    const farm = await buildFarm();
    await farm.add('Olaf', 'viewer');
    const changes = async () => {
      const cookie = cookiesOf(await farm.post('/api/doors/sign-in', { name: 'Olaf', password }));
      return (await farm.get('/api/doors/changes', { cookie })).json();
    };
    farm.clock.advanceBy(89 * dayMs);
    expect(await changes()).toHaveLength(1);
    farm.clock.advanceBy(2 * dayMs);
    expect(await changes()).toEqual([]);
  });
});

describe('an invitation', () => {
  it('works once, for three days, and not after another was made', async () => {
    const farm = await buildFarm();
    const invite = async (name: string) => {
      const { link, person } = (
        await farm.post('/api/doors/people', { name, role: 'viewer' }, farm.ida)
      ).json();
      return { id: person.id as string, secret: link.split('#')[1] as string };
    };
    const join = (secret: string) => farm.post('/api/doors/join', { link: secret, password });
    const once = await invite('Once');
    expect((await join(once.secret)).statusCode).toBe(200);
    expect((await join(once.secret)).statusCode).toBe(403);

    const replaced = await invite('Replaced');
    const { link } = (await farm.post(`/api/doors/people/${replaced.id}/invite`, {}, farm.ida)).json();
    expect((await join(replaced.secret)).statusCode).toBe(403);
    expect((await join(link.split('#')[1])).statusCode).toBe(200);

    const late = await invite('Late');
    farm.clock.advanceBy(3 * dayMs);
    expect((await join(late.secret)).statusCode).toBe(403);
  });

  it('leaves at least one admin', async () => {
    const farm = await buildFarm();
    const { id } = farm.doors.people.named('Ida')!;
    for (const change of [{ disabled: true }, { role: 'viewer' }])
      expect((await farm.post(`/api/doors/people/${id}`, change, farm.ida)).statusCode).toBe(409);
    await farm.add('Second', 'admin');
    expect((await farm.post(`/api/doors/people/${id}`, { role: 'viewer' }, farm.ida)).statusCode).toBe(200);
  });
});
