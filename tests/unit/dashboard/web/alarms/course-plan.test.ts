import { describe, expect, it } from 'vitest';
import { coursePlan } from '../../../../../dashboard/web/alarms/course-plan.ts';
import { writingOf } from '../../../../../dashboard/web/format/value.ts';
import type { AlarmDetail } from '../../../../../shared/alarm-detail.ts';
import { recoveryDays } from '../../../../../shared/growth/dose.ts';
import { dayMs, hourMs } from '../../../../../shared/time.ts';
import { curveOf } from '../../../../browser/fixture/history.ts';
import { liveAt, fixtureNow as now } from '../../../../browser/fixture/live.ts';

const live = liveAt(now, 'quiet');
const batch = live.batches.find(({ id }) => id === 'K706')!;
const curve = curveOf(batch.cohorts[0]!.id, batch, 0.4, now);
const rule = { limit: 25 } as AlarmDetail['rule'];
const words = { core: 'core', heat: 'heat', ahead: 'ahead', limit: (value: string) => `limit ${value}` };
const planOf = (of: 'core' | 'heat', heat = { recentHours: 1, perHour: 0.5 }) =>
  coursePlan({
    ...{ rule, curve, words, zone: 'UTC' },
    course: { of, cohort: curve.cohort, from: now - dayMs, to: now },
    heat: { equivalentHours: 1, hoursAboveWarm: 1, ...heat },
    writing: writingOf(of === 'core' ? 'temperature' : 'humidity', 'F'),
  });

describe('the course behind an alarm on bags', () => {
  it('of cores is drawn in the unit of the screen, with its limit, some hours ahead', () => {
    const plan = planOf('core');
    const within = curve.points.filter(({ t }) => t >= now - dayMs && t <= now + 6 * hourMs);
    expect(plan.x).toEqual(within.map(({ t }) => t));
    const [past, ahead] = plan.lines.map(({ values }) => values);
    const last = past!.findLastIndex((value) => value !== null);
    expect(past![last]).toBeCloseTo(within[last]!.coreTempC * 1.8 + 32, 9);
    // One line takes over from the other at the same point.
    expect(ahead!.findIndex((value) => value !== null)).toBe(last);
    expect(ahead!.at(-1)).toBeCloseTo(within.at(-1)!.coreTempC * 1.8 + 32, 9);
    expect(plan.limits).toMatchObject([{ value: 77, text: 'limit 77' }]);
  });

  it('of heat is a share of what the bags stand: 1 of 4 hours now, then what comes on top', () => {
    const { x, lines } = planOf('heat');
    const at = (line: number, t: number) => lines[line]!.values[x.indexOf(t)];
    expect(at(0, curve.points.findLast(({ t }) => t <= now)!.t)).toBeCloseTo(25, 0);
    // Two hours at half an hour's worth each, nearly none of which fades by then.
    expect(at(1, now + 2 * hourMs)).toBeGreaterThan(47);
    expect(at(1, now + 2 * hourMs)).toBeLessThan(50);
    const fading = planOf('heat', { recentHours: 1, perHour: 0 });
    const after = fading.lines[1]!.values[fading.x.indexOf(now + 6 * hourMs)];
    expect(after).toBeCloseTo(25 * Math.exp(-0.25 / recoveryDays), 6);
  });
});
