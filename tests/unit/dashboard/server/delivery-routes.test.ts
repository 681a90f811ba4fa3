import { expect, test } from 'vitest';
import { build } from './build.ts';

test('looking at a link of a message changes nothing; a tap uses it once', async () => {
  const { get, post, doors } = build();
  for (const _ of [1, 2]) {
    const looked = await get('/api/acknowledge/good');
    expect(looked.headers['cache-control']).toBe('no-store');
    expect(looked.json()).toMatchObject({ usable: true, who: 'Rowan' });
  }
  expect((await post('/api/acknowledge/good', {})).json()).toMatchObject({ usable: false });
  const again = await post('/api/acknowledge/good', {});
  expect(again.statusCode).toBe(409);
  expect(again.json().detail).toContain('used already');
  const [line] = doors.journal.read({ limit: 1 });
  expect(line).toMatchObject({ act: 'useLink', subject: '/api/acknowledge/:token' });
});

test('a channel of a person is tried and each step told', async () => {
  const { get, post } = build();
  const people = await get('/api/sites/farm/people');
  expect(people.json()).toMatchObject([{ id: 'rowan', channels: [{ channel: 'email', usable: true }] }]);
  expect(people.body).not.toContain('@');
  const tried = await post('/api/sites/farm/people/try', { person: 'rowan', channel: 'email', who: 'Ash' });
  expect(tried.json()).toMatchObject([{ step: 'accepted', ok: true }]);
  const unknown = await post('/api/sites/farm/people/try', { person: 'x', channel: 'email', who: 'Ash' });
  expect(unknown.statusCode).toBe(404);
});
