import { describe, expect, it } from 'vitest';
import { dayMs, minuteMs } from '../../../../../shared/time.ts';
import { buildFarm } from './entered.ts';

const live = '/api/sites/farm/live';

describe('a wall screen', () => {
  it('is let in by the code it shows, once, within ten minutes', async () => {
    const farm = await buildFarm();
    const asked = (await farm.post('/api/doors/walls/ask', {})).json();
    const claim = () => farm.post('/api/doors/walls/claim', { device: asked.device });
    expect((await claim()).json()).toEqual({ paired: false });
    const pair = (code: string) =>
      farm.post('/api/doors/walls', { code, name: 'Lab', rooms: null, mayAcknowledge: false }, farm.ida);
    expect((await pair('BBBB-BBBB')).statusCode).toBe(404);
    expect((await pair(asked.code.toLowerCase().replace('-', ' '))).statusCode).toBe(201);
    expect((await pair(asked.code)).statusCode).toBe(404);
    expect((await claim()).json()).toEqual({ paired: true });
    expect((await claim()).statusCode).toBe(404);

    const late = (await farm.post('/api/doors/walls/ask', {})).json();
    farm.clock.advanceBy(10 * minuteMs);
    expect((await pair(late.code)).statusCode).toBe(404);
  });

  it('shows its rooms and nothing else', async () => {
    const farm = await buildFarm();
    const whole = (await farm.get(live, farm.ida)).json();
    const [room, other] = whole.farm.rooms.map(({ id }: { id: string }) => id);
    const wall = await farm.pair({ rooms: [room], mayAcknowledge: false });
    const seen = (await farm.get(live, { cookie: wall.cookie })).json();
    expect(seen.farm.rooms.map(({ id }: { id: string }) => id)).toEqual([room]);
    expect(seen.farm.channels.length).toBeGreaterThan(0);
    expect(new Set(seen.farm.channels.map((channel: { room: string }) => channel.room))).toEqual(
      new Set([room]),
    );
    const hidden = whole.farm.channels.find((channel: { room: string }) => channel.room === other).id;
    expect(Object.keys(seen.channels)).not.toContain(hidden);
    const series = await farm.get(`/api/sites/farm/series?channel=${hidden}&from=0&to=1`, {
      cookie: wall.cookie,
    });
    expect(series.statusCode).toBe(404);
  });

  it('is listed with where it was seen, and out at once when revoked', async () => {
    const farm = await buildFarm();
    const wall = await farm.pair({ rooms: null, mayAcknowledge: false });
    const from = (remoteAddress: string) =>
      farm.app.inject({ url: live, remoteAddress, headers: { cookie: wall.cookie } });
    await from('192.0.2.10');
    await from('198.51.100.9');
    const [listed] = (await farm.get('/api/doors/walls', farm.ida)).json();
    expect(listed.addresses.sort()).toEqual(['192.0.2.10', '198.51.100.9']);
    expect((await farm.post(`/api/doors/walls/${wall.id}/revoke`, {}, farm.ida)).statusCode).toBe(200);
    expect((await from('192.0.2.10')).statusCode).toBe(401);
  });
});

describe('a key of a script', () => {
  it('works until it ends or is revoked, and is told so', async () => {
    const farm = await buildFarm();
    const { id, authorization } = await farm.makeKey(['read']);
    expect((await farm.get(live, { authorization })).statusCode).toBe(200);
    expect((await farm.get(live, { authorization: `${authorization}x` })).statusCode).toBe(401);
    await farm.post(`/api/doors/scripts/${id}/revoke`, {}, farm.ida);
    expect((await farm.get(live, { authorization })).statusCode).toBe(401);
    const other = await farm.makeKey(['read']);
    farm.clock.advanceBy(6 * dayMs);
    expect((await farm.get(live, { authorization: other.authorization })).statusCode).toBe(200);
    farm.clock.advanceBy(24 * dayMs);
    expect((await farm.get(live, { authorization: other.authorization })).statusCode).toBe(401);
  });

  it('is nowhere in the database, nor are sessions and passwords', async () => {
    const farm = await buildFarm();
    const { authorization } = await farm.makeKey(['read', 'bags']);
    const held = [authorization.slice(7), farm.ida.cookie.split('=')[1]!, 'four words of our own'];
    const text = farm.database
      .prepare("SELECT name FROM sqlite_schema WHERE type = 'table'")
      .pluck()
      .all()
      .map((table) => JSON.stringify(farm.database.prepare(`SELECT * FROM ${table}`).all()))
      .join('\n');
    expect(text).toContain('Ida');
    for (const secret of held) expect(text).not.toContain(secret);
  });
});
