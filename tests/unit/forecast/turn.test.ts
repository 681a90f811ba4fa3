import { expect, test } from 'vitest';
import { stepMs, stepOf } from '../../../collector/forecast/grid.ts';
import { stepAt, turnOf } from '../../../collector/forecast/turn.ts';
import { minuteMs } from '../../../shared/time.ts';
import { at, batchOf } from './farm.ts';

const many = Array.from({ length: 500 }, (_, i) => batchOf({ id: `b${i}` }));

test('batches take up a step that is over spread evenly over the minutes of the next', () => {
  const due = [0, 1, 2, 3, 4].map(
    (minute) =>
      many.filter((batch) => {
        const turn = turnOf(batch);
        const now = at(5) + minute * minuteMs;
        return stepAt(turn, now) > stepAt(turn, now - minuteMs);
      }).length,
  );
  expect(due.reduce((sum, count) => sum + count)).toBe(many.length);
  for (const count of due) expect(Math.abs(count - 100)).toBeLessThan(35);
});

test('what is done to a batch is taken up at once, and stays taken up', () => {
  for (const { id } of many.slice(0, 20)) {
    const turn = turnOf(batchOf({ id, checks: [[5, 0.4]] }));
    for (let minute = 0; minute < 10; minute++) {
      const now = at(5) + minute * minuteMs;
      expect(stepAt(turn, now)).toBeGreaterThanOrEqual(stepOf(at(5)));
      expect(stepAt(turn, now)).toBeLessThanOrEqual(stepOf(now));
    }
    expect(stepAt(turn, at(5) - 1)).toBeLessThan(stepOf(at(5)));
    expect(stepAt(turn, at(6) + stepMs - 1)).toBe(stepOf(at(6)));
  }
});
