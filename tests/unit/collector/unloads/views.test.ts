import { expect, test } from 'vitest';
import { isOver, watchedOf } from '../../../../collector/unloads/views.ts';
import { hourMs, minuteMs } from '../../../../shared/time.ts';
import type { UnloadState } from '../../../../shared/unload/derive.ts';
import type { UnloadNow } from '../../../../shared/unloads.ts';
import { smallFarm, startAt } from '../../../tools/alarm-site.ts';

const unload: UnloadState = {
  ...{ id: 'unload-1', room: 'warm-room', at: startAt, endedAt: null, who: 'Rowan', measured: [] },
  probes: [],
  load: { container: 'block', count: 40, startC: null },
  options: { fan: false, extraCoolingW: 0 },
  ...{ stage: 'underway', hasBegun: true },
};
const state: UnloadNow = {
  ...{ asOf: startAt, airC: 26, beyondK: 0, coreC: { low: 60, likely: 62, high: 64 }, surfaceC: 55 },
  ...{ core: [], inoculateBelowC: 27, cautionC: 60, probe: null },
  ...{ inoculateAt: null, touchAt: null, overAt: null, remarks: [], notes: [], wbgtC: null },
};
const beyondAfter = (minutes: number, isFollowed = true) =>
  watchedOf({
    ...{ unload, farm: smallFarm(), plan: null, roomPlan: null, state, isFollowed, isMaking: false },
    now: startAt + minutes * minuteMs,
  }).beyondK;

test('how the air is to the plan is known while the load is followed, and not from what is long past', () => {
  expect(beyondAfter(5)).toBe(0);
  expect(beyondAfter(21)).toBeNull();
  // While a past is made nobody follows it, and all goes by the plan.
  expect(beyondAfter(21, false)).toBe(0);
});

test('one that nobody ends ends itself half a day after it should have been over, also where no sensor tells of it', () => {
  const blind = { ...state, airC: null, beyondK: null };
  const overAfter = (hours: number) =>
    isOver({ unload, plan: null, roomPlan: null, state: blind, now: startAt + hours * hourMs });
  // Without a plan it should be over within a day.
  expect([1, 24, 35.9, 36.1].map(overAfter)).toEqual([false, false, false, true]);
});

test('the probe that stands in it now is told, and none that was taken out', () => {
  const probeOf = (...probes: UnloadState['probes']) =>
    watchedOf({
      ...{ unload: { ...unload, probes }, farm: smallFarm(), plan: null, roomPlan: null, state },
      ...{ isFollowed: true, isMaking: false, now: startAt },
    }).probe;
  const out = { channel: 'one', from: startAt, to: startAt + minuteMs };
  expect(probeOf()).toBeNull();
  expect(probeOf(out)).toBeNull();
  expect(probeOf(out, { channel: 'two', from: startAt + minuteMs, to: null })).toEqual({
    channel: 'two',
    since: startAt + minuteMs,
  });
});
