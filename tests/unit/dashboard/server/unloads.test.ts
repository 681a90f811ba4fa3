import { describe, expect, it } from 'vitest';
import { narrowDesk } from '../../../../dashboard/server/narrow-desk.ts';
import type { UnloadEvent } from '../../../../shared/unloads.ts';
import { guessAt, underwayAt } from '../../../browser/fixture/unloads.ts';
import { build } from './build.ts';
import { createMemoryDesk, startedAt } from './desk.ts';
import { buildFarm } from './doors/entered.ts';

const base = '/api/sites/farm/unloads';
const load = { container: 'block-2kg', count: 24, startC: null };
const options = { fan: false, extraCoolingW: 0 };
const question = { room: 'warm-room', load, at: null, options };
const begun = {
  ...{ id: 'event-0001', t: startedAt, who: 'Ada', unload: 'u-0001' },
  ...{ kind: 'begun', room: 'warm-room', load, options },
};

describe('a question to the planner', () => {
  it('is answered with the whole plan and changes nothing', async () => {
    const { post, live } = build();
    const response = await post(`${base}/plan`, question);
    expect(response.statusCode).toBe(200);
    expect(response.json()).toMatchObject({ room: 'warm-room', at: startedAt, load, inoculateBelowC: 27 });
    expect(live.unloadEvents).toEqual([]);
  });

  it.each([
    [{ ...question, room: 'attic' }, 404, 'no room attic'],
    [{ ...question, load: { ...load, count: 0 } }, 400, 'count'],
    [{ ...question, load: { ...load, count: 2_000 } }, 400, 'count'],
    [{ ...question, load: { ...load, count: 1.5 } }, 400, 'count'],
    [{ ...question, load: { ...load, startC: 200 } }, 400, 'startC'],
    [{ ...question, options: { ...options, extraCoolingW: -1 } }, 400, 'extraCoolingW'],
    [{ ...question, when: 1 }, 400, 'when'],
  ])('is refused: %j', async (body, status, named) => {
    const { post } = build();
    const response = await post(`${base}/plan`, body);
    expect(response.statusCode).toBe(status);
    expect(response.body).toContain(named);
  });

  it('may be asked by a viewer, who may not record', async () => {
    const farm = await buildFarm();
    const { cookie } = await farm.add('Vera', 'viewer');
    expect((await farm.post(`${base}/plan`, question, { cookie })).statusCode).toBe(200);
    expect((await farm.post(`${base}/events`, begun, { cookie })).statusCode).toBe(403);
  });

  it('never locks out recording, however often it is asked', async () => {
    const { post } = build();
    for (let round = 0; round < 3; round += 1)
      await Promise.all(Array.from({ length: 100 }, () => post(`${base}/plan`, { room: 'no question' })));
    expect((await post(`${base}/plan`, question)).statusCode).toBe(429);
    expect((await post(`${base}/events`, begun)).statusCode).toBe(201);
  });
});

describe('what happened to an unload', () => {
  it('is recorded once, however often it is sent', async () => {
    const { post, live } = build();
    for (let turn = 0; turn < 2; turn += 1) {
      const response = await post(`${base}/events`, begun);
      expect(response.statusCode).toBe(201);
      expect(response.json()).toEqual({ id: 'event-0001' });
    }
    expect(live.unloadEvents).toEqual([begun]);
  });

  it('is journalled under the name of who signed in, whatever the request says', async () => {
    const farm = await buildFarm();
    expect((await farm.post(`${base}/events`, { ...begun, who: 'Nobody' }, farm.ida)).statusCode).toBe(201);
    expect(farm.live.unloadEvents[0]?.who).toBe('Ida');
  });

  it.each([
    ['asked', { room: 'warm-room', at: startedAt, why: 'x' }],
    ['ended', { because: 'itself' }],
  ])('is not said by a person where the site says it itself: %s', async (kind, more) => {
    const { post, live } = build();
    const { id, t, who, unload } = begun;
    const response = await post(`${base}/events`, { id, t, who, unload, kind, ...more });
    expect(response.statusCode).toBe(400);
    expect(live.unloadEvents).toEqual([]);
  });
});

describe('unloads and rooms', () => {
  it('are listed and told one by one', async () => {
    const { get } = build();
    const list = (await get(base)).json();
    expect(list.map(({ stage }: { stage: string }) => stage)).toContain('ended');
    const detail = (await get(`${base}/${list[0].id}`)).json();
    expect(detail).toMatchObject({ view: { id: list[0].id }, report: { peakC: 28.7 } });
    expect((await get(`${base}/none`)).statusCode).toBe(404);
    expect((await get('/api/sites/farm/rooms/warm-room')).json()).toMatchObject({
      room: 'warm-room',
      days: 19,
    });
    expect((await get('/api/sites/farm/rooms/attic')).statusCode).toBe(404);
  });

  it('reach a wall screen only of its own rooms', async () => {
    const farm = await buildFarm();
    const of = (room: string) => ({
      open: [{ ...underwayAt(startedAt), room }],
      guesses: [{ ...guessAt(startedAt), room }],
    });
    const [warm, cold] = [of('warm-room'), of('cold-room')];
    farm.live.state.unloads = {
      open: [...warm.open, ...cold.open],
      guesses: [...warm.guesses, ...cold.guesses],
    };
    const wall = await farm.pair({ rooms: ['cold-room'], mayAcknowledge: false });
    const seen = (await farm.get('/api/sites/farm/live', { cookie: wall.cookie })).json().unloads;
    expect(seen).toEqual(cold);
  });

  it('of other rooms are not there for a desk of some rooms, whatever is asked of it', async () => {
    const { desk, state, unloadEvents } = createMemoryDesk();
    const narrow = (...rooms: string[]) => narrowDesk(desk, rooms).unloads;
    state.farm.rooms = ['warm', 'cool'].map((id) => ({ ...state.farm.rooms[0]!, id }));
    const asked = { ...question, room: 'warm' };
    const told = { ...begun, room: 'warm' } as UnloadEvent;
    const over = { ...begun, kind: 'ended', unload: 'u-past-3', because: 'hand' } as unknown as UnloadEvent;
    const none = /is none of those that this screen shows/;
    await expect(narrow('cool').plan(asked)).rejects.toThrow(none);
    for (const ask of [
      () => narrow('cool').record(told),
      () => narrow('cool').record(over),
      () => narrow('cool').unload('u-past-3'),
      () => narrow('cool').room('warm'),
    ])
      expect(ask).toThrow(none);
    expect(unloadEvents).toEqual([]);
    expect(
      new Set(
        narrow('cool')
          .list()
          .map(({ room }) => room),
      ),
    ).toEqual(new Set(['cool']));

    expect((await narrow('warm').plan(asked)).room).toBe('warm');
    narrow('warm').record(told);
    expect(unloadEvents).toEqual([told]);
    expect(narrow('warm').unload('u-past-3').view.id).toBe('u-past-3');
  });
});
