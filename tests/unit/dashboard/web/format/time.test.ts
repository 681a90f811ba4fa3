import { describe, expect, it } from 'vitest';
import { threeDays } from '../../../../../dashboard/web/format/ready.ts';
import {
  clockOf,
  dayOf,
  daysAway,
  momentNear,
  momentOf,
  spanOf,
} from '../../../../../dashboard/web/format/time.ts';
import { dayMs, hourMs, minuteMs } from '../../../../../shared/time.ts';

const zone = 'Europe/Berlin';
/** Tuesday 24 November 2026, 14:32 in Berlin. */
const now = Date.UTC(2026, 10, 24, 13, 32);

describe('times on screen', () => {
  it('are in the site’s zone, whatever the browser’s', () => {
    expect(clockOf(now, zone)).toBe('14:32');
    expect(clockOf(now, 'America/New_York')).toBe('08:32');
    expect(momentOf(now, zone)).toBe('Tue 24 Nov 14:32');
  });

  it.each([
    [0, 'today'],
    [2, 'Thu 26'],
    [-1, 'Mon 23'],
    [13, 'Mon 7'],
    [17, '11 Dec'],
    [500, 'Apr 2028'],
  ])('%i days away is %s', (days, said) => {
    expect(dayOf(now + days * dayMs, now, zone)).toBe(said);
  });

  it('counts days by the calendar, across midnight and the clock change', () => {
    expect(daysAway(now + 10 * hourMs, now, zone)).toBe(1);
    const beforeChange = Date.UTC(2026, 9, 24, 22, 30); // 25 October, 00:30 summer time
    expect(daysAway(beforeChange + 24 * hourMs, beforeChange, zone)).toBe(0);
    expect(daysAway(beforeChange + 25 * hourMs, beforeChange, zone)).toBe(1);
  });

  it('names the day of a moment only when it is not today', () => {
    expect(momentNear(now - hourMs, now, zone)).toBe('13:32');
    expect(momentNear(now - dayMs, now, zone)).toBe('Mon 23 14:32');
  });

  it.each([
    [6_400, '6\u00a0s'],
    [41 * minuteMs, '41\u00a0min'],
    [2 * hourMs + 10 * minuteMs, '2\u00a0h 10\u00a0min'],
    [3 * hourMs, '3\u00a0h'],
    [3.9 * dayMs, '3\u00a0d'],
    [-5, '0\u00a0s'],
  ])('%i ms is %s', (ms, said) => {
    expect(spanOf(ms)).toBe(said);
  });

  it('says an interval in three words, a far month only once', () => {
    const near = { earliest: now + 2 * dayMs, likely: now + 3 * dayMs, latest: now + 5 * dayMs };
    expect(threeDays(near, now, zone)).toEqual({ earliest: 'Thu 26', likely: 'Fri 27', latest: 'Sun 29' });
    const far = { earliest: now + 14 * dayMs, likely: now + 17 * dayMs, latest: now + 21 * dayMs };
    expect(threeDays(far, now, zone)).toEqual({ earliest: '8', likely: '11', latest: '15 Dec' });
    const across = { earliest: now + 17 * dayMs, likely: now + 35 * dayMs, latest: now + 45 * dayMs };
    expect(threeDays(across, now, zone)).toEqual({ earliest: '11 Dec', likely: '29 Dec', latest: '8 Jan' });
    const edge = { earliest: now + 12 * dayMs, likely: now + 15 * dayMs, latest: now + 17 * dayMs };
    expect(threeDays(edge, now, zone)).toEqual({ earliest: 'Sun 6', likely: '9', latest: '11 Dec' });
  });

  it('leaves out a day that is said already', () => {
    const soon = { earliest: now + dayMs, likely: now + 1.1 * dayMs, latest: now + 2 * dayMs };
    expect(threeDays(soon, now, zone)).toEqual({ earliest: null, likely: 'Wed 25', latest: 'Thu 26' });
    const sure = { earliest: now + dayMs, likely: now + 1.1 * dayMs, latest: now + 1.2 * dayMs };
    expect(threeDays(sure, now, zone)).toEqual({ earliest: null, likely: 'Wed 25', latest: null });
  });
});
