import { describe, expect, onTestFinished, test, vi } from 'vitest';
import { cronSchedule } from '../../../../alerts/delivery/cron.ts';
import { lastDue } from '../../../../alerts/delivery/daily.ts';
import { createDigest, type Schedule } from '../../../../alerts/delivery/digest.ts';
import { buildFarm } from '../../../../shared/farm/farm.ts';
import { createManualClock } from '../../../../shared/manual-clock.ts';
import { alarmDatabase, smallFarm } from '../../../tools/alarm-site.ts';

const hour = 3_600_000;
const farmAt = (at: string, timeZone: string) => {
  const { file } = smallFarm();
  return buildFarm({ ...file, site: { ...file.site, timeZone }, digest: { at, to: ['rowan', 'ash'] } }, []);
};
const content = () => ({
  farm: { rooms: [], site: { id: 'fernhollow', name: 'Fernhollow', timeZone: 'UTC' } },
  today: {
    groups: [
      {
        task: 'shake' as const,
        bags: 2,
        places: [
          {
            ...{ shelf: 'A1', room: null, bags: 2, cohorts: ['B-1/1'], by: null, gainDays: 0.5 },
            ranHot: true,
          },
        ],
      },
    ],
    readyBags: 3,
    next: null,
  },
  alarms: [],
  silentSensors: ['warm-air'],
});

/** A digest on a clock turned by hand, looked at each minute as cron would on the real one. */
function turned(at: string, timeZone: string, startAt: string) {
  const { database } = alarmDatabase();
  const clock = createManualClock(Date.parse(startAt));
  const schedule: Schedule = (_pattern, _zone, action) => clock.every(60_000, action);
  const open = () => {
    const farm = farmAt(at, timeZone);
    const digest = createDigest({ database, clock, schedule, farm, content, onQueued: () => {} });
    digest.start();
    return digest;
  };
  const digest = open();
  const rows = () =>
    database
      .prepare<[], { key: string; recipient: string; at: number; message: string }>(
        'SELECT key, recipient, queued_at AS at, message FROM alarm_outbox ORDER BY id',
      )
      .all();
  return { clock, digest, open, rows };
}
const told = (rows: { recipient: string; at: number }[]) =>
  rows
    .filter(({ recipient }) => recipient === 'rowan')
    .map(({ at }) => new Date(at).toISOString().slice(0, 16));

describe('one digest a day, at its time on the clock of the site', () => {
  test.each([
    [
      'into summer time',
      '06:30',
      '2026-03-07T06:00Z',
      ['2026-03-07T12:30', '2026-03-08T11:30', '2026-03-09T11:30'],
    ],
    ['out of it', '06:30', '2026-10-31T06:00Z', ['2026-10-31T11:30', '2026-11-01T12:30', '2026-11-02T12:30']],
    [
      'at a time that is skipped',
      '02:30',
      '2026-03-07T07:00Z',
      ['2026-03-07T08:30', '2026-03-08T08:30', '2026-03-09T07:30'],
    ],
    [
      'at a time that comes twice',
      '01:30',
      '2026-10-31T06:00Z',
      ['2026-10-31T06:30', '2026-11-01T06:30', '2026-11-02T07:30'],
    ],
  ])('%s', (_, at, startAt, due) => {
    const { clock, rows } = turned(at, 'America/Chicago', startAt);
    clock.advanceBy(60 * hour);
    expect(told(rows())).toEqual(due);
    expect(rows()).toHaveLength(6);
  });
});

test('a machine that was off at the time makes up for it, but not in the afternoon', () => {
  const late = turned('06:30', 'UTC', '2026-05-04T09:00Z');
  expect(told(late.rows())).toEqual(['2026-05-04T09:00']);
  late.digest.stop();
  late.open();
  expect(told(late.rows())).toHaveLength(1);
  expect(turned('06:30', 'UTC', '2026-05-04T11:00Z').rows()).toEqual([]);
});

test('says what to shake, what is ready, what ran hot and which sensors say nothing', () => {
  const { rows } = turned('06:30', 'UTC', '2026-05-04T06:30Z');
  const { subject, text, messageId } = JSON.parse(rows()[0]!.message);
  expect(subject).toBe('Fernhollow today: shake 2 bags');
  expect(text.split('\n')[0]).toBe('Shake 2 bags');
  expect(text).toContain('shelf A1: 2 bags, ran hot');
  expect(text).toContain('Ready: 3 bags.');
  expect(text).toContain('Sensors that say nothing: warm-air.');
  expect(messageId).toBe('<digest.2026-05-04.rowan@fernhollow.shelfwarden.invalid>');
});

test('only on its days', () => {
  const monday = Date.UTC(2026, 4, 4, 12);
  expect(lastDue({ at: '06:30', days: ['fri'] }, 'UTC', monday)).toEqual({
    date: '2026-05-01',
    at: Date.UTC(2026, 4, 1, 6, 30),
  });
});

test('node-cron fires at the pattern in the zone', async () => {
  vi.useFakeTimers({ now: Date.UTC(2026, 2, 7, 6) });
  onTestFinished(() => void vi.useRealTimers());
  const fired: string[] = [];
  const cancel = cronSchedule('30 6 * * *', 'America/Chicago', () => {
    fired.push(new Date(vi.getMockedSystemTime()!).toISOString().slice(0, 16));
  });
  await vi.advanceTimersByTimeAsync(60 * hour);
  cancel();
  expect(fired).toEqual(['2026-03-07T12:30', '2026-03-08T11:30', '2026-03-09T11:30']);
});
