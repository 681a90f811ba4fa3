import { expect, test } from 'vitest';
import { readyShare } from '../../../shared/growth/overlap.ts';
import { reaches, type Spell, shakeGain, shakenSpell } from '../../../shared/growth/shake.ts';

const wedges: Spell = { startsAt: 1.5, pointsPerCm3: 20 / 3500, evenness: 2.5, startShare: 0 };
const how = { recoveryDays: 0.6, evenness: 6, pointsFactor: 1 };

test('a share below the one at the start is reached when the spell starts', () => {
  expect(reaches({ ...wedges, startShare: 0.4 }, 0.3, 5)).toBe(1.5);
});

test('the gain is the difference of the two futures', () => {
  const at = reaches(wedges, 0.3, 5);
  const shaken = shakenSpell(at, 0.3, how);
  expect(shakeGain(wedges, at, 0.3, how, 5)).toBeCloseTo(
    reaches(wedges, readyShare, 5) - reaches(shaken, readyShare, 5),
    12,
  );
  expect(shakeGain(wedges, at, 0.3, how, 5)).toBeGreaterThan(3);
});

test('shaking a bag that is nearly full costs time', () => {
  expect(shakeGain(wedges, reaches(wedges, 0.97, 5), 0.97, how, 5)).toBeLessThan(0);
});

test('shaking a bag in which nothing grows yet leaves a date, far off', () => {
  const shaken = shakenSpell(0.5, 0, how);
  expect(reaches(shaken, readyShare, 5)).toBeGreaterThan(10);
  expect(Number.isFinite(reaches(shaken, readyShare, 5))).toBe(true);
});
