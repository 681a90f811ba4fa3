import { expect, it } from 'vitest';
import { pageOfRelated } from '../../../../../dashboard/web/alarms/page-of-related.ts';
import { unloadHold } from '../../../../../shared/unload/watched.ts';
import { fixtureNow, liveAt } from '../../../../browser/fixture/live.ts';

const live = liveAt(fixtureNow, 'unload');

it('what holds an alarm back leads to the hot load where it is one, and to its own page where it is an alarm', () => {
  expect(pageOfRelated(unloadHold('warm'), live)).toEqual({ name: 'one-unload', id: 'u-underway' });
  expect(pageOfRelated('high/warm.temperature', live)).toEqual({
    name: 'alarm',
    id: 'high/warm.temperature',
  });
});

it('a load that is only scheduled holds nothing back', () => {
  expect(live.unloads.open.find(({ room }) => room === 'cool')?.stage).toBe('scheduled');
  expect(pageOfRelated(unloadHold('cool'), live).name).toBe('alarm');
});
