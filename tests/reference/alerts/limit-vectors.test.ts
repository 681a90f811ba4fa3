import { expect, test } from 'vitest';
import { restingDelay } from '../../../alerts/conditions/delayed.ts';
import { type LimitRule, stepLimit } from '../../../alerts/conditions/limit.ts';

/** Instants (in seconds) at which the condition turned, with its new verdict. */
function turns(rule: LimitRule, values: readonly number[], everyS: number) {
  let memory = restingDelay;
  const found: [number, boolean][] = [];
  values.forEach((value, index) => {
    const next = stepLimit(rule, memory, index * everyS * 1000, value);
    if (next.on !== memory.on) found.push([index * everyS, next.on]);
    memory = next;
  });
  return found;
}

const high = { side: 'above', limit: 28, deadband: 0.5, onDelayMs: 60_000, offDelayMs: 120_000 } as const;

// Published check of the design notes (Alarms): strict above on entry, below limit minus deadband on exit.
test('deadband and delays: on at 180 s, off at 480 s', () => {
  const values = [
    27.9, 28.1, 28.2, 27.9, 28.1, 28.2, 28.3, 28.1, 27.8, 27.6, 27.4, 27.6, 27.4, 27.3, 27.4, 27.2, 27.1,
  ];
  expect(turns(high, values, 30)).toEqual([
    [180, true],
    [480, false],
  ]);
});

test('the same vector mirrored about the limit turns a low limit at the same instants', () => {
  const values = [
    28.1, 27.9, 27.8, 28.1, 27.9, 27.8, 27.7, 27.9, 28.2, 28.4, 28.6, 28.4, 28.6, 28.7, 28.6, 28.8, 28.9,
  ];
  expect(turns({ ...high, side: 'below' }, values, 30)).toEqual([
    [180, true],
    [480, false],
  ]);
});

test.each([
  [0, 7],
  [0.5, 1],
])('alternating 27.9 and 28.1 without delay: deadband %d gives %d events', (deadband, events) => {
  const values = [27.9, 28.1, 27.9, 28.1, 27.9, 28.1, 27.9, 28.1];
  expect(turns({ ...high, deadband, onDelayMs: 0, offDelayMs: 0 }, values, 5)).toHaveLength(events);
});

test('a value on the limit is not beyond it, and one on the edge of the deadband has not cleared', () => {
  const sharp = { ...high, onDelayMs: 0, offDelayMs: 0 };
  expect(turns(sharp, [28, 28, 28.001, 27.5, 27.5, 27.499], 30)).toEqual([
    [60, true],
    [150, false],
  ]);
});
