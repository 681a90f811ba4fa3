import { describe, expect, it } from 'vitest';
import { build } from '../build.ts';
import { password } from './entered.ts';

const proxy = '10.0.0.1';
const phone = '198.51.100.7';
/** What a proxy in front says of a phone that came to it by https. */
const forwarded = { 'x-forwarded-for': phone, 'x-forwarded-proto': 'https', host: 'farm.example' };

function farmBehindProxy() {
  const built = build({ open: false, trustedProxies: [proxy], hostNames: ['farm.example'] });
  const send = (remoteAddress: string, path: string, body: unknown, headers: Record<string, string>) =>
    built.app.inject({
      method: 'POST',
      url: path,
      remoteAddress,
      headers: { 'content-type': 'application/json', ...headers },
      payload: JSON.stringify(body),
    });
  const setUp = (from: string, more: object = {}, headers: Record<string, string> = forwarded) =>
    send(from, '/api/doors/set-up', { name: 'Ida', password, ...more }, headers);
  return { ...built, send, setUp };
}

describe('a proxy that the farm file trusts', () => {
  it('is believed where a request came from and that it was https', async () => {
    const { setUp, doors } = farmBehindProxy();
    const answer = await setUp(proxy, { code: doors.setUpCode });
    expect(answer.statusCode).toBe(201);
    expect(answer.cookies[0]).toMatchObject({
      name: '__Host-shelfwarden-session',
      secure: true,
      httpOnly: true,
      sameSite: 'Lax',
      path: '/',
    });
    expect(answer.cookies[0]).not.toHaveProperty('domain');
    expect(answer.headers['strict-transport-security']).toBe('max-age=15724800');
    expect(doors.journal.read({ limit: 1 })[0]).toMatchObject({ act: 'set-up', address: phone });
  });

  it('on this machine itself does not make its visitors people of this machine', async () => {
    const built = build({ open: false, trustedProxies: ['127.0.0.1'], hostNames: ['farm.example'] });
    const answer = await built.post('/api/doors/set-up', { name: 'Ida', password }, forwarded);
    expect(answer.statusCode).toBe(403);
    expect(answer.json().detail).toMatch(/code that the console/);
  });

  it('counts wrong passwords by the phone, not by the proxy', async () => {
    const { setUp, send, doors } = farmBehindProxy();
    await setUp(proxy, { code: doors.setUpCode });
    const tryFrom = (address: string, tried: string) =>
      send(
        proxy,
        '/api/doors/sign-in',
        { name: 'Ida', password: tried },
        { ...forwarded, 'x-forwarded-for': address },
      );
    for (let turn = 0; turn < 10; turn++) await tryFrom('198.51.100.66', 'wrong wrong');
    expect((await tryFrom('198.51.100.66', password)).statusCode).toBe(429);
    expect((await tryFrom(phone, password)).statusCode).toBe(200);
  });
});

describe('anybody else who says that they are a proxy', () => {
  it('is not believed', async () => {
    const { setUp, doors } = farmBehindProxy();
    const stranger = '10.0.0.9';
    const answer = await setUp(stranger, { code: doors.setUpCode });
    expect(answer.statusCode).toBe(201);
    expect(answer.cookies[0]).toMatchObject({ name: 'shelfwarden-session' });
    expect(answer.cookies[0]).not.toHaveProperty('secure');
    expect(answer.headers).not.toHaveProperty('strict-transport-security');
    expect(doors.journal.read({ limit: 1 })[0]).toMatchObject({ address: stranger });
  });

  it('still needs a name of this server', async () => {
    const { setUp } = farmBehindProxy();
    const answer = await setUp('10.0.0.9', {}, { host: 'evil.example', 'x-forwarded-host': 'farm.example' });
    expect(answer.statusCode).toBe(403);
  });
});
