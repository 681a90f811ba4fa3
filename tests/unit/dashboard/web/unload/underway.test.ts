import { describe, expect, it } from 'vitest';
import { writingOf } from '../../../../../dashboard/web/format/value.ts';
import { accuracyOf } from '../../../../../dashboard/web/unload/accuracy.ts';
import {
  againstPlan,
  countdown,
  surfaceNow,
  unloadLine,
} from '../../../../../dashboard/web/unload/underway-words.ts';
import { airPlan, corePlan } from '../../../../../dashboard/web/unload/unload-plans.ts';
import { unloadToShow, unloadWords } from '../../../../../dashboard/web/wall/unload-shown.ts';
import { hourMs, minuteMs } from '../../../../../shared/time.ts';
import { airNews } from '../../../../../shared/unload/against-plan.ts';
import type { UnloadView } from '../../../../../shared/unloads.ts';
import { seriesOf } from '../../../../browser/fixture/history.ts';
import { fixtureNow, liveAt } from '../../../../browser/fixture/live.ts';
import { pastAt, scheduledAt, underwayAt, unloadDetailAt } from '../../../../browser/fixture/unloads.ts';

const { farm } = liveAt(fixtureNow, 'unload');
const zone = farm.site.timeZone;
const view = underwayAt(fixtureNow);
const plan = view.plan!;
const place = { now: fixtureNow, zone, temperature: 'C' as const };
const writing = writingOf('temperature', 'C');
const scene = { plan, now: fixtureNow, zone, writing };

describe('the countdown', () => {
  it('runs to the likely instant, with its range', () => {
    expect(countdown(view, place)).toEqual({
      ...{ value: '5\u00a0h 36\u00a0min', to: 'until 27\u00a0°C at the core', cool: false },
      range: 'between 19:32 and 21:14',
    });
    expect(countdown(view, { ...place, now: fixtureNow + hourMs }).value).toBe('4\u00a0h 36\u00a0min');
  });

  it('ends when the core is cool, not when its time has run out', () => {
    const coreC = { low: 25, likely: 26.9, high: 28 };
    expect(countdown({ ...view, now: { ...view.now!, coreC } }, place).cool).toBe(true);
    expect(countdown(view, { ...place, now: fixtureNow + 6 * hourMs }).cool).toBe(false);
  });

  it('says what it cannot foresee, and goes by the plan before anything was measured', () => {
    expect(countdown({ ...view, now: { ...view.now!, inoculateAt: null } }, place).value).toBe(
      'not foreseen',
    );
    expect(countdown({ ...view, now: null }, place).range).not.toBeNull();
    expect(countdown({ ...view, plan: null }, place)).toMatchObject({
      ...{ value: '5\u00a0h 36\u00a0min', to: 'until 27\u00a0°C at the core' },
    });
    expect(countdown({ ...view, plan: null, now: null }, place).to).toBe('until cool enough to inoculate');
  });
});

it('an open unload is told in a line', () => {
  expect(unloadLine(view, place)).toBe(
    'Unload since 13:40: 5\u00a0h 36\u00a0min until 27\u00a0°C at the core',
  );
  expect(unloadLine(scheduledAt(fixtureNow), place)).toBe('Unload scheduled for 18:02');
});

it('bare hands are warned off until the surface is cool', () => {
  expect(surfaceNow(view, place)).toBe('62\u00a0°C at the surface: gloves, no bare hands until about 14:47.');
  // Its time has run out, and nobody knows of it being cooler: it is as hot as it was.
  expect(surfaceNow(view, { ...place, now: fixtureNow + hourMs })).toBe(
    '62\u00a0°C at the surface: gloves, no bare hands.',
  );
  expect(surfaceNow({ ...view, now: { ...view.now!, touchAt: null } }, place)).toMatch(/gloves/);
  // One that burns nobody stands among the facts, and is no caution.
  expect(surfaceNow({ ...view, now: { ...view.now!, touchAt: null, surfaceC: 41 } }, place)).toBeNull();
  // Nothing is measured yet: the plan warns all the same.
  const fresh = { ...view, now: null, at: fixtureNow };
  expect(
    surfaceNow({ ...fresh, plan: { ...plan, surface: { ...plan.surface, safeAt: fixtureNow + 1 } } }, place),
  ).toMatch(/gloves/);
  expect(surfaceNow({ ...fresh, plan: { ...plan, surface: { ...plan.surface, safeAt: null } } }, place)).toBe(
    '95\u00a0°C at the surface: gloves, no bare hands.',
  );
  expect(surfaceNow({ ...fresh, plan: null }, place)).toBeNull();
});

it.each([
  [0.7, 'C', '0.7\u00a0K above what was expected'],
  [-1, 'C', '1.0\u00a0K below what was expected'],
  [1, 'F', '1.8\u00a0°F above what was expected'],
  [0, 'C', 'as expected'],
  [-0.1, 'C', 'as expected'],
  [0.5, 'F', 'as expected'],
  [null, 'C', null],
] as const)('air %s K beyond the plan is told in °%s', (beyondK, temperature, words) => {
  expect(againstPlan(beyondK, temperature)).toBe(words);
  // The page says 'All goes as planned' where nothing is told of it: both or neither tell of a difference.
  expect(airNews(beyondK) !== null).toBe(words?.includes('what was expected') ?? false);
  // Only of warmer air is it trouble.
  if (airNews(beyondK) !== null) expect(airNews(beyondK)!.good).toBe(beyondK! < 0);
});

describe('the curves', () => {
  const series = [
    seriesOf({ channel: 'warm-air.temperature', from: view.at, to: fixtureNow, maxPoints: 300 }),
  ];

  it('have what was expected with its band, and over it what was measured as far as it goes', () => {
    const chart = airPlan(scene, { farm, series });
    const [expected, measured] = chart.lines;
    expect(expected).toMatchObject({ label: 'expected', hand: 1 });
    expect(measured).toMatchObject({ label: 'Warm room temperature', hand: 0, band: null });
    const last = chart.x.findIndex((t) => t > fixtureNow);
    expect(measured!.values.slice(last).every((value) => value === undefined)).toBe(true);
    const drawn = expected!.values.flatMap((value, at) =>
      value == null ? [] : [[expected!.band!.low[at], value, expected!.band!.high[at]] as const],
    );
    expect(drawn).toHaveLength(plan.air.length);
    for (const [low, value, high] of drawn) {
      expect(low).toBeLessThan(value);
      expect(high).toBeGreaterThan(value);
    }
    expect(chart.limits.map(({ text }) => text)).toEqual(['28\u00a0°C', '20\u00a0°C']);
    expect(chart.scales.air?.include).toEqual([28, 20, plan.peak.tempC.likely]);
    expect(chart.moments).toEqual([{ t: fixtureNow, text: 'now' }]);
  });

  it('show the peak that is told in words: how warm, and when; nothing where the room is not warmed', () => {
    const { tempC, at } = plan.peak;
    expect(airPlan(scene, { farm, series }).spans).toEqual([
      { from: at.earliest, likely: at.likely, to: at.latest, scale: 'air', value: tempC.likely },
    ]);
    const cold = { ...plan, beforeC: tempC.likely };
    expect(airPlan({ ...scene, plan: cold }, { farm, series }).spans).toEqual([]);
  });

  it('have one plain line where nothing was measured', () => {
    const chart = airPlan({ ...scene, now: plan.at }, { farm, series: [] });
    expect(chart.lines.map(({ hand }) => hand)).toEqual([0]);
    expect(chart.moments).toEqual([]);
  });

  it('show when the core meets the limit by what is known now, and what was measured in it', () => {
    const { events } = unloadDetailAt(view.id, fixtureNow, [view])!;
    const chart = corePlan(scene, { events, state: view.now });
    expect(chart.spans[0]).toMatchObject({ likely: view.now!.inoculateAt!.likely, value: 27 });
    expect(chart.points).toEqual([{ t: view.at + 30 * minuteMs, value: 84, scale: 'core' }]);
    expect(corePlan(scene).spans[0]?.likely).toBe(plan.inoculateAt!.likely);
  });

  it('show the core as its readings have it, with its range, over the line that was expected', () => {
    const chart = corePlan(scene, { events: [], state: { ...view.now!, inoculateBelowC: 26 } });
    const [expected, held] = chart.lines;
    expect([expected!.hand, expected!.band, held!.hand]).toEqual([1, null, 0]);
    for (const { t, value } of view.now!.core) {
      const place = chart.x.indexOf(t);
      expect(held!.values[place]).toBeCloseTo(value.likely, 9);
      expect(held!.band!.high[place]).toBeCloseTo(value.high, 9);
    }
    expect(expected!.values[chart.x.indexOf(plan.at)]).toBeCloseTo(plan.core[0]!.value.likely, 9);
    expect(chart.limits[0]).toMatchObject({ value: 26, text: 'inoculate below 26\u00a0°C' });
    expect(corePlan(scene).lines).toHaveLength(1);
  });
});

it('accuracy counts ended ones that were foretold, and no others', () => {
  expect(accuracyOf(pastAt(fixtureNow))).toEqual({
    ...{ planned: 3, inside: 2 },
    offK: expect.closeTo((0.3 + 0.2 + 1.1) / 3, 9),
  });
  expect(accuracyOf([])).toBeNull();
});

describe('the wall', () => {
  const later: UnloadView = {
    ...view,
    id: 'later',
    now: { ...view.now!, inoculateAt: { ...view.now!.inoculateAt!, likely: fixtureNow + 9 * hourMs } },
  };
  const show = (...open: UnloadView[]) => unloadToShow({ open, guesses: [] }, fixtureNow)?.id;

  it('counts down the load that is cool last, and tells of one to come when none is underway', () => {
    expect(show(scheduledAt(fixtureNow), view, later)).toBe('later');
    expect(show(scheduledAt(fixtureNow))).toBe('u-scheduled');
    expect(show({ ...scheduledAt(fixtureNow), at: fixtureNow + 20 * hourMs })).toBeUndefined();
    expect(show()).toBeUndefined();
  });

  it('says how long, to what, and to keep hands off', () => {
    const words = (part: Partial<UnloadView>) =>
      unloadWords({ ...view, ...part }, { ...place, room: 'Warm room' });
    expect(words({})).toEqual({
      ...{ what: 'Unload 13:40, Warm room', value: '5\u00a0h 36\u00a0min', to: 'to 27\u00a0°C' },
      ...{ probe: null, caution: 'surface 62\u00a0°C: gloves' },
    });
    const probe = { channel: 'stick.probe-temperature', tempC: 25, at: fixtureNow, state: 'aside' as const };
    expect(words({ now: { ...view.now!, probe } }).probe).toBe('its probe is not in it');
    expect(words({ now: { ...view.now!, probe: { ...probe, state: 'heard' } } }).probe).toBeNull();
    const coreC = { low: 25, likely: 26.5, high: 28 };
    const cool = { ...view.now!, coreC, surfaceC: 25, touchAt: null };
    expect(words({ now: cool })).toMatchObject({ value: 'cool enough', to: '', caution: null });
    // As the page of the unload says it: by its core, plan or none, and hot by the plan before that is known.
    expect(words({ plan: null, now: cool }).value).toBe('cool enough');
    const safeAt = fixtureNow + hourMs;
    const planned = { ...plan, surface: { ...plan.surface, safeAt } };
    expect(words({ now: null, plan: planned }).caution).toBe('surface 95\u00a0°C: gloves');
    expect(words({ ...scheduledAt(fixtureNow) })).toMatchObject({ value: '18:02', to: '16 ×' });
  });
});
