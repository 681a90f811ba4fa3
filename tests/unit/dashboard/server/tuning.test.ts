import { parse } from 'csv-parse/sync';
import { describe, expect, it } from 'vitest';
import { build } from './build.ts';
import { band, startedAt } from './desk.ts';

const day = 86_400_000;

describe('the journal', () => {
  it('comes as CSV, where a cell that would begin a formula is text', async () => {
    const { get, live } = build();
    const [line] = live.desk.alarmJournal({ limit: 1 });
    live.desk.alarmJournal = () => [
      { ...line!, who: '=cmd|calc', why: '-2 "degrees", they said', title: '@warm', value: -3.5 },
      { ...line!, who: '+44 20', why: null, value: null },
    ];
    const response = await get('/api/sites/farm/alarms/journal.csv');
    expect(response.statusCode).toBe(200);
    expect(response.headers['content-type']).toBe('text/csv; charset=utf-8');
    expect(response.headers['content-disposition']).toContain('alarm-journal.csv');
    const [first, second] = parse(response.body, { columns: true }) as Record<string, string>[];
    expect(first).toMatchObject({
      ...{ who: "'=cmd|calc", why: `'-2 "degrees", they said`, title: "'@warm", value: '-3.5' },
      time: new Date(startedAt).toISOString(),
    });
    expect(second).toMatchObject({ who: "'+44 20", why: '', value: '' });
  });

  it('hands every filter on, as it was meant', async () => {
    const { get, live } = build();
    let asked: unknown;
    live.desk.alarmJournal = (question) => {
      asked = question;
      return [];
    };
    const query = 'place=warm&state=shelved&who=Ada&priority=1&from=1&to=2&before=9&limit=5';
    expect((await get(`/api/sites/farm/alarms/journal?${query}`)).statusCode).toBe(200);
    expect(asked).toEqual({
      ...{ place: 'warm', state: 'shelved', who: 'Ada', priority: 1, from: 1, to: 2, before: 9, limit: 5 },
    });
  });

  it.each([
    ['priority=4', 'priority'],
    ['state=asleep', 'state'],
    ['before=0', 'before'],
    ['room=warm', 'room'],
  ])('refuses %s', async (query, named) => {
    const { get } = build();
    const response = await get(`/api/sites/farm/alarms/journal?${query}`);
    expect(response.statusCode).toBe(400);
    expect(response.body).toContain(named);
  });
});

describe('nuisance', () => {
  it('is answered for a span', async () => {
    const { get } = build();
    const response = await get(`/api/sites/farm/alarms/nuisance?from=${startedAt}&to=${startedAt + day}`);
    expect(response.statusCode).toBe(200);
    expect(response.json()).toMatchObject({ alarms: 1, periods: { none: 143 } });
  });

  it.each([
    [`from=${startedAt}&to=${startedAt}`, 'after from'],
    [`from=0&to=${startedAt}`, 'at most a year'],
  ])('refuses the span %s', async (query, part) => {
    const { get } = build();
    const response = await get(`/api/sites/farm/alarms/nuisance?${query}`);
    expect(response.statusCode).toBe(400);
    expect(response.body).toContain(part);
  });
});

describe('limits', () => {
  const edit = { at: 'warm-room', measure: 'temperature', set: { high: 27 } };

  it('are listed with what is written, what holds, and a version', async () => {
    const { get } = build();
    expect((await get('/api/sites/farm/limits')).json()).toEqual([band]);
  });

  it('are tried without being changed', async () => {
    const { post } = build();
    const response = await post('/api/sites/farm/limits/back-test', { ...edit, from: 1, to: 2 });
    expect(response.statusCode).toBe(200);
    expect(response.json()).toMatchObject({ from: 1, to: 2, pairs: [] });
  });

  it('are saved once; the second who read the same version is told', async () => {
    const { post } = build();
    const first = await post('/api/sites/farm/limits', { ...edit, version: 'first', who: 'Ada' });
    expect(first.json().version).toBe('next');
    const second = await post('/api/sites/farm/limits', { ...edit, version: 'older', who: 'Bo' });
    expect(second.statusCode).toBe(409);
  });

  it.each([
    [{ ...edit, measure: 'smell' }, 'measure'],
    [{ ...edit, set: { hihg: 27 } }, 'hihg'],
    [{ ...edit, set: { onDelayS: -1 } }, 'onDelayS'],
    [{ ...edit, set: { deadband: 0 } }, 'deadband'],
  ])('refuses %j', async (body, named) => {
    const { post } = build();
    const response = await post('/api/sites/farm/limits', { ...body, version: 'first', who: 'Ada' });
    expect(response.statusCode).toBe(400);
    expect(response.body).toContain(named);
  });
});
