import { expect, it } from 'vitest';
import { courseOf } from '../../../../collector/live/bags-at-stake.ts';
import type { BagsAtStake } from '../../../../shared/alarm-detail.ts';

const bags = (cohort: string, coreTempC: number, recentHours: number, perHour: number): BagsAtStake => ({
  ...{ cohort, batch: cohort.slice(0, 2), bags: [1], shelf: 'A1', coreTempC },
  heat: { equivalentHours: recentHours, hoursAboveWarm: 0, recentHours, perHour },
});
/** The warmest first. */
const all = [bags('K1/1', 31, 0.2, 0.1), bags('K2/1', 28, 0.9, 0.02), bags('K3/1', 22, 2.5, 0)];
const span = { from: 0, to: 9 };

it('the course that shows an alarm is of the warmest or coldest bags, or of those that gather most heat', () => {
  expect(courseOf({ of: 'core', ...span }, 'above', all)).toEqual({ of: 'core', cohort: 'K1/1', ...span });
  expect(courseOf({ of: 'core', ...span }, 'below', all)?.cohort).toBe('K3/1');
  expect(courseOf({ of: 'heat', ...span }, 'above', all)?.cohort).toBe('K2/1');
  expect(courseOf({ of: 'heat', ...span }, 'above', [all[2]!])?.cohort).toBe('K3/1');
});

it('there is none where a sensor shows it, and none without bags', () => {
  expect(courseOf(null, 'above', all)).toBeNull();
  expect(courseOf({ of: 'heat', ...span }, 'above', [])).toBeNull();
});
