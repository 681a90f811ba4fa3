import { describe, expect, it } from 'vitest';
import { buildFarm, password } from './entered.ts';

describe('the journal of doors', () => {
  it('says who, when, from where, before and after; refused sign-ins too', async () => {
    const farm = await buildFarm();
    const olaf = await farm.add('Olaf', 'viewer');
    await farm.post(`/api/doors/people/${olaf.id}`, { role: 'operator' }, farm.ida);
    await farm.post('/api/doors/sign-in', { name: 'Ida', password: 'not this one' });
    const { firstBreak, lines } = (await farm.get('/api/doors/journal', farm.ida)).json();
    expect(firstBreak).toBeNull();
    expect(lines.map(({ act }: { act: string }) => act)).toEqual([
      'sign-in-refused',
      'change-person',
      'join',
      'invite',
      'set-up',
    ]);
    expect(lines[1]).toMatchObject({
      who: 'Ida',
      via: 'session',
      address: '127.0.0.1',
      subject: 'Olaf',
      before: { role: 'viewer' },
      after: { role: 'operator' },
      t: farm.clock.now(),
    });
    expect(JSON.stringify(lines)).not.toContain(password);
  });

  it('keeps what is done to bags, under the name of whoever is signed in', async () => {
    const farm = await buildFarm();
    const event = {
      id: 'event-0001',
      t: 1,
      who: 'Somebody else',
      batch: 'B-0001',
      kind: 'made',
      strain: 'blue',
      container: 'bag',
      count: 3,
      generation: 'G1',
      inoculation: { way: 'agar-wedges', pieces: 8 },
    };
    expect((await farm.post('/api/sites/farm/events', event, farm.ida)).statusCode).toBe(201);
    expect(farm.live.events).toMatchObject([{ who: 'Ida' }]);
    const [line] = (await farm.get('/api/doors/journal?limit=1', farm.ida)).json().lines;
    expect(line).toMatchObject({ who: 'Ida', act: 'recordEvent', subject: 'farm', after: { kind: 'made' } });
  });

  it('shows where a line was changed or taken out from outside', async () => {
    const farm = await buildFarm();
    await farm.add('Olaf', 'viewer');
    farm.database.exec('DROP TRIGGER door_journal_is_never_changed');
    farm.database.exec("UPDATE door_journal SET who = 'Eve' WHERE seq = 2");
    expect(farm.doors.journal.firstBreak()).toBe(2);
    farm.database.exec('DROP TRIGGER door_journal_is_never_removed');
    farm.database.exec('DELETE FROM door_journal WHERE seq = 2');
    expect(farm.doors.journal.firstBreak()).toBe(3);
  });

  it('can only grow', async () => {
    const farm = await buildFarm();
    expect(() => farm.database.exec("UPDATE door_journal SET who = 'Eve'")).toThrow('never changed');
    expect(() => farm.database.exec('DELETE FROM door_journal')).toThrow('never shortened');
  });

  it('is a table in which no cell is a formula', async () => {
    const farm = await buildFarm();
    await farm.post('/api/doors/people', { name: '=HYPERLINK("x")', role: 'viewer' }, farm.ida);
    const csv = (await farm.get('/api/doors/journal.csv', farm.ida)).body;
    expect(csv).toContain(`'=HYPERLINK`);
    expect(csv).not.toMatch(/(^|,)"?=/m);
  });
});
