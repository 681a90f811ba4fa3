import { expect, test } from 'vitest';
import { doseRate, halvingHours, recoveryDays, remembered, slowedBy } from '../../../shared/growth/dose.ts';

test('an hour at the heat limit is an hour; z above it is ten', () => {
  expect(doseRate(36, 30, 36)).toBe(1);
  expect(doseRate(42, 30, 36)).toBeCloseTo(10, 12);
});

test('nothing counts up to the warm limit, and nothing is infinite', () => {
  expect(doseRate(30, 30, 36)).toBe(0);
  expect(doseRate(Number.NaN, 30, 36)).toBe(0);
  expect(doseRate(150, 30, 36)).toBe(1e6);
});

test('memory fades to 1/e over the recovery time and takes in a steady dose exactly', () => {
  expect(remembered(5, 0, recoveryDays * 24)).toBeCloseTo(5 / Math.E, 12);
  let inSteps = 0;
  for (let step = 0; step < 600; step++) inSteps = remembered(inSteps, 0.3, 0.1);
  expect(remembered(0, 0.3, 60)).toBeCloseTo(inSteps, 10);
});

test('growth halves at the halving dose and is untouched without', () => {
  expect(slowedBy(halvingHours)).toBe(0.5);
  expect(slowedBy(0)).toBe(1);
});
