import { describe, expect, it } from 'vitest';
import { corePlan, sharePlan } from '../../../../../dashboard/web/batch/curve-plan.ts';
import { eventWords, takenBack } from '../../../../../dashboard/web/batch/event-words.ts';
import { cohortWords } from '../../../../../dashboard/web/format/cohort-words.ts';
import { writingOf } from '../../../../../dashboard/web/format/value.ts';
import type { BagEvent } from '../../../../../shared/bags.ts';
import { dayMs } from '../../../../../shared/time.ts';
import { curveOf } from '../../../../browser/fixture/history.ts';
import { fixtureNow, liveAt } from '../../../../browser/fixture/live.ts';

const live = liveAt(fixtureNow, 'quiet');
const zone = live.farm.site.timeZone;
const batch = live.batches.find(({ id }) => id === 'K706')!;
const forecast = live.forecasts.find(({ batch: id }) => id === 'K706')!;
const cohort = batch.cohorts[0]!;
const curve = curveOf(cohort.id, batch, forecast.share.likely, fixtureNow);
const input = { curve, cohort, forecast, now: fixtureNow, zone };

describe('the growth curve', () => {
  it('has the band, what was seen, and the ready interval', () => {
    const plan = sharePlan(input);
    expect(plan.lines[0]?.values).toHaveLength(curve.points.length);
    expect(plan.lines[0]?.band?.high.every((high, at) => high! >= plan.lines[0]!.values[at]!)).toBe(true);
    expect(plan.points).toEqual(
      cohort.checks.map(({ t, share }) => ({ t, value: share * 100, scale: 'share' })),
    );
    expect(plan.spans[0]).toMatchObject({ from: forecast.ready.at?.earliest, to: forecast.ready.at?.latest });
    expect(plan.moments[0]?.t).toBe(fixtureNow);
  });

  it('has the air only as far as it was measured', () => {
    const air = corePlan(input, writingOf('temperature', 'F')).lines[1]!.values;
    const ahead = curve.points.findIndex(({ t }) => t > fixtureNow);
    expect(air.slice(0, ahead).every((value) => value !== null)).toBe(true);
    expect(air.slice(ahead).every((value) => value === null)).toBe(true);
  });
});

describe('a cohort in words', () => {
  const words = (part: Partial<typeof forecast>) => cohortWords({ ...forecast, ...part }, fixtureNow, zone);

  it('says what a shake gains while it is worth it', () => {
    expect(words({}).shake).toEqual({ when: 'now', gainDays: 2.8, from: null });
    expect(words({ shake: { ...forecast.shake, state: 'closing' } }).shake?.when).toBe('closing');
    expect(words({ shake: { ...forecast.shake, state: 'done' } }).shake).toBeNull();
    const opens = { earliest: fixtureNow, likely: fixtureNow + 2 * dayMs, latest: fixtureNow + 3 * dayMs };
    expect(words({ shake: { ...forecast.shake, state: 'early', opens } }).shake?.from).toBe('Thu 26');
  });

  it('says ready as it is known', () => {
    expect(words({ ready: { state: 'ready', at: null, seen: true } }).ready).toEqual({ kind: 'now' });
    expect(words({ ready: { state: 'stalled', at: null, seen: false } }).ready).toEqual({ kind: 'stalled' });
    expect(words({ ready: { state: 'growing', at: null, seen: false } }).ready).toEqual({ kind: 'unknown' });
  });

  it('says a use-by only of what is ready', () => {
    const useBy = { at: fixtureNow - dayMs, state: 'past' as const };
    expect(words({ useBy }).useBy).toBeNull();
    expect(words({ useBy, ready: { state: 'ready', at: null, seen: false } }).useBy).toEqual({
      day: 'Mon 23',
      past: true,
    });
  });

  it('does not count minutes above the warm limit', () => {
    expect(
      words({ heat: { equivalentHours: 0, hoursAboveWarm: 0.4, recentHours: 0, perHour: 0 } }).warmHours,
    ).toBeNull();
    expect(
      words({ heat: { equivalentHours: 0, hoursAboveWarm: 5.2, recentHours: 0, perHour: 0 } }).warmHours,
    ).toBe(5.2);
  });
});

describe('events in words', () => {
  const common = { id: 'e1', t: 0, who: 'Ida', batch: 'K1' };
  it.each([
    [{ ...common, kind: 'checked', share: 0.4 }, 'checked: 40\u00a0%'],
    [{ ...common, kind: 'moved', shelf: 'B2' }, 'moved: B2'],
    [{ ...common, kind: 'used' }, 'used'],
    [{ ...common, kind: 'used', purpose: 'G2' }, 'used: G2'],
    [{ ...common, kind: 'discarded', reason: 'wet' }, 'discarded: wet'],
    [{ ...common, kind: 'shaken' }, 'shaken'],
  ] as [BagEvent, string][])('%j', (event, words) => expect(eventWords(event)).toBe(words));

  it('knows what was taken back', () => {
    expect(takenBack([{ ...common, kind: 'undone', event: 'e0' }])).toEqual(new Set(['e0']));
  });
});
