import { describe, expect, it } from 'vitest';
import { countByPeriod, floodsIn } from '../../../../alerts/tuning/floods.ts';
import { nuisanceOf } from '../../../../alerts/tuning/nuisance.ts';
import { standingsOf } from '../../../../alerts/tuning/standing.ts';
import type { AlarmJournalEntry, AlarmState } from '../../../../shared/alarms.ts';
import { dayMs, hourMs, minuteMs, secondMs } from '../../../../shared/time.ts';

const start = Date.UTC(2026, 4, 4);
const tenMin = 10 * minuteMs;

/** So many alarms, evenly through each 10-min period. */
const spread = (counts: readonly number[]): number[] =>
  counts.flatMap((count, period) =>
    Array.from({ length: count }, (_, n) => start + period * tenMin + (n * tenMin) / count),
  );

let seq = 0;
const line = (
  t: number,
  alarm: string,
  event: string,
  from: AlarmState,
  to: AlarmState,
): AlarmJournalEntry => ({
  ...{ t, alarm, title: `${alarm} rings`, event, from, to },
  ...{ seq: ++seq, who: 'Shelfwarden', why: null, value: null, limit: null },
});
const rings = (t: number, alarm: string) => line(t, alarm, 'raised', 'normal', 'unacknowledged');
const over = (t: number, alarm: string) =>
  line(t, alarm, 'cleared', 'unacknowledged', 'returned-unacknowledged');
const seen = (t: number, alarm: string) =>
  line(t, alarm, 'acknowledged', 'returned-unacknowledged', 'normal');

const figures = (lines: AlarmJournalEntry[], from = start, to = start + dayMs) =>
  nuisanceOf({ from, to, lines, priorityOf: (alarm) => (alarm === 'gone' ? null : 3) });

describe('floods', () => {
  it('2, 4, 11, 14, 7, 5, 4, 1 in 10 min each is one flood of 40 min, 37 alarms, peak 14', () => {
    const floods = floodsIn(countByPeriod(spread([2, 4, 11, 14, 7, 5, 4, 1])));
    expect(floods).toEqual([{ from: start + 2 * tenMin, to: start + 6 * tenMin, alarms: 37, peak: 14 }]);
  });

  it('ten in 10 min is none, eleven is one', () => {
    expect(floodsIn(countByPeriod(spread([10, 10])))).toEqual([]);
    expect(floodsIn(countByPeriod(spread([11])))).toHaveLength(1);
  });

  it('a period without any alarm ends a flood', () => {
    const floods = floodsIn(countByPeriod(spread([11, 0, 11])));
    expect(floods.map(({ from, to }) => to - from)).toEqual([tenMin, tenMin]);
  });

  it('lasts while there are five', () => {
    const [flood] = floodsIn(countByPeriod(spread([12, 5, 5, 5, 4])));
    expect(flood).toMatchObject({ to: start + 4 * tenMin, alarms: 27 });
  });
});

describe('nuisance figures', () => {
  it('counts the periods by how many rang, empty ones too', () => {
    const { periods, alarms, perDay, floodShare } = figures(
      spread([2, 4, 11, 14, 7, 5, 4, 1]).map((t, n) => rings(t, `a${n % 5}`)),
    );
    expect(periods).toEqual({ none: 136, upTo2: 2, upTo5: 3, upTo10: 1, more: 2 });
    expect(alarms).toBe(48);
    expect(perDay).toBe(48);
    expect(floodShare).toBeCloseTo(40 / 1440, 9);
  });

  it('names who rang most, with share, chatter and how often it was over before anybody could act', () => {
    const lines = [
      ...[0, 20, 40].flatMap((s) => [
        rings(start + s * secondMs, 'door'),
        over(start + (s + 10) * secondMs, 'door'),
      ]),
      line(start + 41 * secondMs, 'door', 'chattering', 'unacknowledged', 'unacknowledged'),
      rings(start + hourMs, 'gone'),
      over(start + 2 * hourMs, 'gone'),
    ];
    const { offenders, byPriority } = figures(lines);
    expect(offenders).toEqual([
      expect.objectContaining({ alarm: 'door', count: 3, share: 0.75, chattering: 1, fleeting: 3 }),
      expect.objectContaining({ alarm: 'gone', count: 1, share: 0.25, fleeting: 0, priority: null }),
    ]);
    expect(byPriority).toEqual({ 1: 0, 2: 0, 3: 3, unknown: 1 });
  });

  it('does not count what was raised unseen, nor what was only acknowledged', () => {
    const lines = [
      line(start, 'a', 'raised', 'suppressed', 'suppressed'),
      line(start + 1, 'b', 'acknowledged', 'unacknowledged', 'acknowledged'),
      line(start + 2, 'b', 're-alarm', 'acknowledged', 'unacknowledged'),
    ];
    expect(figures(lines).alarms).toBe(1);
  });

  it('finds what stood for more than a day, begun before the span or not yet over', () => {
    const lines = [
      rings(start - hourMs, 'old'),
      rings(start + hourMs, 'short'),
      over(start + 2 * hourMs, 'short'),
      seen(start + 3 * hourMs, 'short'),
      rings(start + hourMs, 'young'),
    ];
    expect(figures(lines).stale).toEqual([
      { alarm: 'old', title: 'old rings', since: start - hourMs, until: null },
    ]);
    expect(figures(lines).alarms).toBe(2);
  });
});

describe('standing', () => {
  it('runs from the first ring until it is normal again or held back', () => {
    const lines = [
      rings(start, 'a'),
      over(start + 10, 'a'),
      rings(start + 20, 'a'),
      line(start + 30, 'a', 'shelved', 'unacknowledged', 'shelved'),
      line(start + 40, 'a', 'shelving-over', 'shelved', 'unacknowledged'),
    ];
    expect(standingsOf(lines).map(({ since, until }) => [since - start, until && until - start])).toEqual([
      [0, 30],
      [40, null],
    ]);
  });
});
