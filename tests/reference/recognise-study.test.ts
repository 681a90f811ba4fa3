import { expect, it } from 'vitest';
import { recogniseStudy } from '../tools/recognise-study.ts';

it('unloads in rooms never seen are asked about, cooler failures and ordinary days are not: a small sample', () => {
  // A seed with many loads that show. The whole of it: npm run bench -- recognise.
  const study = recogniseStudy({ rooms: 2, weeks: 0, failures: 1, days: 3, seed: 10 });
  expect(study.all).toBe(8);
  expect(study.visible).toBeGreaterThan(3);
  expect(study.recognised).toBeGreaterThanOrEqual(study.visible - 1);
  expect(study.wrongPerWeek).toBeLessThanOrEqual(0.5);
  expect(study.rightTakenBack).toBe(0);
  expect(study.failuresTaken).toBe(0);
});
