import { expect, it } from 'vitest';
import { hourMs } from '../../../../shared/time.ts';
import { comingHours, createOutlook, searchedHours, stepS } from '../../../../shared/unload/outlook.ts';
import { drawCases } from '../../../../shared/unload/plan-case.ts';
import { standingOf } from '../../../../shared/unload/standing.ts';
import { startOf } from '../../../../shared/unload/start.ts';
import { planNow, planQuestion } from '../../../tools/plan-question.ts';

it('runs the last part of a split through that comes a day after a first one of tomorrow', () => {
  const input = planQuestion({ at: planNow + comingHours * hourMs });
  const standing = standingOf(input.cohorts);
  const [one] = drawCases(input, startOf());
  const outlook = createOutlook(input, [one!], standing);
  const day = (24 * 3600) / stepS;
  const last = { count: 60, atStep: outlook.atStep + day };
  const alone = outlook.run(0, [{ count: 1, atStep: outlook.atStep }], searchedHours + 24).airC;
  const { airC } = outlook.run(0, [{ count: 1, atStep: outlook.atStep }, last], searchedHours + 24);
  expect(airC.every(Number.isFinite)).toBe(true);
  // The hour before it is the same, and in the hour after it the air is warmer by the load.
  const hour = 3600 / stepS;
  expect(airC[day - 1]).toBe(alone[day - 1]);
  const warmer = airC.map((tempC, step) => tempC - alone[step]!).subarray(day, day + hour);
  expect(Math.max(...warmer)).toBeGreaterThan(0.2);
});
