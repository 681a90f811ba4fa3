import { describe, expect, it } from 'vitest';
import { applyChange } from '../../../../../dashboard/web/live/apply-change.ts';
import { fixtureNow, liveAt } from '../../../../browser/fixture/live.ts';

const state = liveAt(fixtureNow, 'warm');

describe('applying a change', () => {
  it('lays changed channels over the known ones', () => {
    const value = { ...state.channels['warm-air.temperature']!, value: 30.1 };
    const next = applyChange(state, { now: fixtureNow + 1, channels: { 'warm-air.temperature': value } });
    expect(next.channels['warm-air.temperature']?.value).toBe(30.1);
    expect(next.channels['cool-air.temperature']).toBe(state.channels['cool-air.temperature']);
    expect(next.now).toBe(fixtureNow + 1);
  });

  it('keeps what did not change as the same object', () => {
    const next = applyChange(state, { now: fixtureNow + 1 });
    for (const part of [
      'farm',
      'channels',
      'alarms',
      'batches',
      'forecasts',
      'unloads',
      'notices',
      'parts',
    ] as const)
      expect(next[part]).toBe(state[part]);
  });

  it('replaces one cohort’s forecast, drops an ended one, adds a new one', () => {
    const [first, second] = state.forecasts;
    const changed = { ...first!, coreTempC: 31 };
    const added = { ...first!, cohort: 'K999/1' };
    const next = applyChange(state, {
      now: fixtureNow,
      forecasts: [changed, added],
      endedCohorts: [second!.cohort],
    });
    expect(next.forecasts).toHaveLength(state.forecasts.length);
    expect(next.forecasts.find(({ cohort }) => cohort === first!.cohort)?.coreTempC).toBe(31);
    expect(next.forecasts.some(({ cohort }) => cohort === second!.cohort)).toBe(false);
    expect(next.forecasts.at(-1)?.cohort).toBe('K999/1');
  });

  it('replaces what is known of unloads whole', () => {
    const unloads = liveAt(fixtureNow, 'unload').unloads;
    expect(applyChange(state, { now: fixtureNow, unloads }).unloads).toBe(unloads);
  });

  it('does not touch the state it was given', () => {
    const before = structuredClone(state);
    applyChange(state, { now: 1, alarms: [], endedCohorts: [state.forecasts[0]!.cohort] });
    expect(state).toEqual(before);
  });
});
