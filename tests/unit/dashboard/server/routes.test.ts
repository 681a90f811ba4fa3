import { describe, expect, it } from 'vitest';
import { build } from './build.ts';
import { alarm, startedAt } from './desk.ts';

const made = {
  id: 'event-0001',
  t: startedAt,
  who: 'Ada',
  batch: 'B-0001',
  kind: 'made',
  strain: 'blue-oyster',
  container: 'bag-3l',
  count: 6,
  generation: 'G1',
  inoculation: { way: 'agar-wedges', pieces: 4 },
};

describe('a site', () => {
  it('answers its live state as it is', async () => {
    const { get, live } = build();
    const response = await get('/api/sites/farm/live');
    expect(response.statusCode).toBe(200);
    expect(response.json()).toEqual(live.state);
  });

  it('answers a series, its span and points taken from the query', async () => {
    const { get } = build();
    const response = await get(
      '/api/sites/farm/series?channel=warm-air.temperature&from=1000&to=2000&maxPoints=50',
    );
    expect(response.statusCode).toBe(200);
    expect(response.json().points.map(({ t }: { t: number }) => t)).toEqual([1000, 1999]);
  });

  it('records an event once, however often it is sent, and shows it on the batch', async () => {
    const { post, get, live } = build();
    for (let turn = 0; turn < 2; turn++) {
      const response = await post('/api/sites/farm/events', made);
      expect(response.statusCode).toBe(201);
      expect(response.json()).toEqual({ id: 'event-0001' });
    }
    expect(live.events).toHaveLength(1);
    const batch = (await get('/api/sites/farm/batches/B-0001')).json();
    expect(batch.state).toMatchObject({ id: 'B-0001', madeBy: 'Ada', count: 6 });
    expect(batch.events).toEqual([made]);
  });

  it('answers the curve of a cohort by batch and lowest bag', async () => {
    const { get } = build();
    expect((await get('/api/sites/farm/cohorts/B-0001/3/curve')).json().cohort).toBe('B-0001/3');
    expect((await get('/api/sites/farm/cohorts/B-0001/4/curve')).statusCode).toBe(404);
  });

  it('answers what was learned of a strain and how well it was forecast', async () => {
    const { get } = build();
    const page = (await get('/api/sites/farm/strains/larch-2')).json();
    expect(page).toMatchObject({
      strain: 'larch-2',
      species: { id: 'oyster' },
      counts: { seen: 1, censored: 0 },
    });
    expect(page.scores.map(({ contestant }: { contestant: string }) => contestant)).toEqual([
      'forecast',
      'fixed-days',
      'degree-days',
    ]);
    expect(page.finished[0].forecasts[0]).toMatchObject({
      occasion: 'inoculation',
      errorDays: 1,
      inside: true,
    });
    expect(page.response.points.find(({ tempC }: { tempC: number }) => tempC === 27).share).toBe(1);
    expect((await get('/api/sites/farm/strains/oak-1')).statusCode).toBe(404);
  });

  it('answers the air at a shelf with how it was obtained', async () => {
    const { get } = build();
    const response = await get('/api/sites/farm/shelves/A2/air?from=1000&to=2000');
    expect(response.statusCode).toBe(200);
    expect(response.json().points).toEqual([{ t: 1000, tempC: 22, sdK: 1.4, source: 'filled' }]);
    expect((await get('/api/sites/farm/shelves/Z9/air?from=1&to=2')).statusCode).toBe(404);
    expect((await get('/api/sites/farm/shelves/A2/air?from=2&to=1')).statusCode).toBe(400);
  });

  it('answers the species with what their numbers rest on', async () => {
    const { get, live } = build();
    const response = await get('/api/sites/farm/species');
    expect(response.statusCode).toBe(200);
    expect(response.json()).toEqual(live.desk.species());
  });

  it('takes acts on alarms with who acts, and answers the new state', async () => {
    const { post } = build();
    const response = await post('/api/sites/farm/alarms/act', {
      alarm: alarm.id,
      act: 'acknowledge',
      who: 'Ada',
    });
    expect(response.statusCode).toBe(200);
    expect(response.json()).toMatchObject({ id: alarm.id, state: 'acknowledged' });
  });

  it('answers all about one alarm', async () => {
    const { get } = build();
    const found = await get(`/api/sites/farm/alarms/detail?alarm=${encodeURIComponent(alarm.id)}`);
    expect(found.json()).toMatchObject({ alarm: { id: alarm.id }, rule: { limit: 28, wrong: 'above' } });
    const missing = await get('/api/sites/farm/alarms/detail?alarm=high/moon.temperature');
    expect(missing.statusCode).toBe(404);
    expect((await get('/api/sites/farm/alarms/detail')).statusCode).toBe(400);
  });

  it('answers the journal in the length asked for', async () => {
    const { get } = build();
    expect((await get('/api/sites/farm/alarms/journal?limit=2')).json()).toHaveLength(2);
    expect((await get('/api/sites/farm/alarms/journal')).json()).toHaveLength(3);
  });

  it('answers the topics that were found', async () => {
    const { get } = build();
    expect((await get('/api/sites/farm/found')).json().topics[0].topic).toBe('a/b');
  });
});

describe('training', () => {
  it('is a site of its own from start to stop', async () => {
    const { post, get } = build();
    expect((await get('/api/training/weeks')).json()[0].id).toBe('quiet');
    expect((await get('/api/sites/training/live')).statusCode).toBe(404);

    const started = await post('/api/training/start', { week: 'quiet', speed: 100 });
    expect(started.json().run).toMatchObject({ week: 'quiet', speed: 100, paused: false });
    expect((await get('/api/sites/training/live')).json().kind).toBe('training');

    expect((await post('/api/training/speed', { speed: 500 })).json().run.speed).toBe(500);
    expect((await post('/api/training/pause', { paused: true })).json().run.paused).toBe(true);
    expect((await get('/api/training/report')).json()).toHaveLength(1);
    expect((await post('/api/training/stop', {})).json()).toEqual({ run: null });
    expect((await get('/api/sites/training/live')).statusCode).toBe(404);
  });

  it.each([
    ['/api/training/start', { week: 'quiet', speed: 501 }, 400, 'from 1 to 500'],
    ['/api/training/start', { week: 'stormy' }, 404, 'no week stormy'],
    ['/api/training/speed', { speed: 2 }, 409, 'No training run'],
    ['/api/training/pause', { paused: 'yes' }, 400, 'true or false'],
    ['/api/training/stop', { now: true }, 400, 'unknown key'],
  ])('%s refuses %j', async (url, body, status, part) => {
    const { post } = build();
    const response = await post(url, body);
    expect(response.statusCode).toBe(status);
    expect(response.json().detail).toContain(part);
  });
});

describe('health', () => {
  it('is ok while every part is', async () => {
    const { get } = build();
    const response = await get('/health');
    expect(response.statusCode).toBe(200);
    expect(response.json()).toMatchObject({ status: 'ok', kind: 'demo', now: startedAt });
  });

  it('is 503 with the part that failed, as health and not as a problem', async () => {
    const { get, live } = build();
    live.state.parts.push({ part: 'store', state: 'failed', text: 'disk full', since: startedAt });
    const response = await get('/health');
    expect(response.statusCode).toBe(503);
    expect(response.headers['content-type']).toContain('application/json');
    expect(response.json()).toMatchObject({
      status: 'failed',
      parts: [{}, { part: 'store', text: 'disk full' }],
    });
  });
});
