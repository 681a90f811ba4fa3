import { expect, test } from 'vitest';
import { predictionStudy } from '../../tools/prediction-study.ts';

// The full study is `npm run bench -- prediction`; goals: nine in ten warned in time, one false warning a week.
test('cooler failures in rooms never seen are foreseen in time, and ordinary weeks are left in peace', () => {
  const { counted, inTime, wrongPerWeek } = predictionStudy({ failures: 10, weeks: 2, seed: 5 });
  expect(counted).toBeGreaterThanOrEqual(4);
  expect(inTime / counted).toBeGreaterThanOrEqual(0.8);
  expect(wrongPerWeek).toBeLessThanOrEqual(1);
});

test('rooms that taught what they are foresee no fewer of them than the trend, and no more that do not come', () => {
  const study = predictionStudy({ failures: 4, weeks: 1, seed: 5, taughtDays: 6 });
  expect(study.counted).toBeGreaterThanOrEqual(2);
  expect(study.taught!.inTime).toBeGreaterThanOrEqual(study.inTime);
  expect(study.taught!.wrongPerWeek).toBeLessThanOrEqual(1);
});
