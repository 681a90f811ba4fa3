import { describe, expect, it } from 'vitest';
import type { AlarmJournalEntry, AlarmState } from '../../../../shared/alarms.ts';
import { farmOf } from '../../../../simulator/scenarios/scenario.ts';
import { reportOf } from '../../../../simulator/training/report.ts';
import { calmScenario, someMorning } from '../helpers.ts';

const farm = farmOf(calmScenario);
const minute = 60_000;
let seq = 0;
const entry = (
  minutes: number,
  alarm: string,
  from: AlarmState,
  to: AlarmState,
  who = 'system',
): AlarmJournalEntry => ({
  seq: seq++,
  t: someMorning + minutes * minute,
  alarm,
  title: alarm,
  event: 'any',
  from,
  to,
  who,
  why: null,
  value: 29,
  limit: 28,
});
const failed = { t: someMorning, until: null, room: 'warm', what: 'The cooler stopped' };

describe('report of a run', () => {
  it('tells when the first alarm about a room came and who saw it', () => {
    const journal = [
      entry(95, 'high/warm-air.temperature', 'unacknowledged', 'acknowledged', 'Ida'),
      entry(40, 'high/shelf-a2.temperature', 'normal', 'unacknowledged'),
      entry(41, 'high/cool-air.temperature', 'normal', 'unacknowledged'),
      entry(50, 'high/cool-air.temperature', 'unacknowledged', 'acknowledged', 'Oskar'),
    ];
    expect(reportOf([failed], journal, farm)).toEqual([
      {
        t: someMorning,
        what: 'The cooler stopped (alarm after 40 min)',
        seenAt: someMorning + 95 * minute,
        seenBy: 'Ida',
      },
    ]);
  });

  it.each(['high/warm.temperature', 'rate/A1.temperature', 'high/warm-air.temperature', 'silent/shelf-a2'])(
    'knows the room of %s',
    (alarm) => {
      const [line] = reportOf([failed], [entry(40, alarm, 'normal', 'unacknowledged')], farm);
      expect(line!.what).toBe('The cooler stopped (alarm after 40 min)');
    },
  );

  it('credits the alarm that stood already and had warned of it, and not one about something else', () => {
    const journal = [
      entry(-90, 'silent/warm-air', 'normal', 'unacknowledged'),
      entry(-80, 'no-cooling/warm', 'normal', 'unacknowledged'),
      entry(-20, 'no-cooling/warm', 'unacknowledged', 'acknowledged', 'Ida'),
      entry(500, 'high/warm.temperature', 'suppressed', 'unacknowledged'),
    ];
    const passed = { ...failed, what: 'Warm room passed 28 °C' };
    expect(reportOf([passed], journal, farm)).toEqual([
      {
        t: someMorning,
        what: 'Warm room passed 28 °C (an alarm had warned 80 min before)',
        seenAt: someMorning - 20 * minute,
        seenBy: 'Ida',
      },
    ]);
    const over = [
      ...journal.slice(0, 3),
      entry(-5, 'no-cooling/warm', 'acknowledged', 'normal'),
      journal[3]!,
    ];
    expect(reportOf([passed], over, farm)[0]!.what).toBe('Warm room passed 28 °C (alarm after 500 min)');
  });

  it('counts an acknowledgement after the value came back, and none before the alarm', () => {
    const journal = [
      entry(5, 'low/warm-air.humidity', 'unacknowledged', 'acknowledged', 'Runa'),
      entry(20, 'high/warm-air.temperature', 'normal', 'unacknowledged'),
      entry(30, 'high/warm-air.temperature', 'unacknowledged', 'returned-unacknowledged'),
      entry(70, 'high/warm-air.temperature', 'returned-unacknowledged', 'normal', 'Ida'),
    ];
    expect(reportOf([failed], journal, farm)[0]).toMatchObject({
      seenAt: someMorning + 70 * minute,
      seenBy: 'Ida',
    });
  });

  it('says so when nobody saw it or no alarm came, and orders by time', () => {
    const journal = [entry(10, 'silent/shelf-c1', 'normal', 'unacknowledged')];
    const lines = reportOf(
      [
        { ...failed, t: someMorning + 5 * minute, room: 'cool', what: 'Door open' },
        failed,
        { ...failed, t: someMorning - 3 * 3_600_000, until: someMorning - 2 * 3_600_000, room: 'cool' },
      ],
      journal,
      farm,
    );
    expect(lines.map(({ what, seenAt }) => [what, seenAt])).toEqual([
      ['The cooler stopped (no alarm)', null],
      ['The cooler stopped (no alarm)', null],
      ['Door open (alarm after 5 min)', null],
    ]);
  });
});
