import { describe, expect, it } from 'vitest';
import { hourlyMeans, type OpenHour, takeReading } from '../../../../shared/air/hourly.ts';
import { hourMs, minuteMs } from '../../../../shared/time.ts';

const start = Date.UTC(2024, 0, 5, 10);

describe('hourly means', () => {
  it('hands an hour out when the next one begins, and equals the batch', () => {
    const samples = Array.from({ length: 200 }, (_, index) => ({
      t: start + index * minuteMs,
      tempC: 20 + Math.sin(index),
    }));
    let open: OpenHour = null;
    const done = samples.flatMap(({ t, tempC }) => {
      const taken = takeReading(open, t, tempC);
      open = taken.open;
      return taken.done === null ? [] : [taken.done];
    });
    expect(done.map(({ t }) => t)).toEqual([start, start + hourMs, start + 2 * hourMs]);
    expect([...done, open]).toEqual(hourlyMeans(samples));
    expect(done[0]!.count).toBe(60);
  });
  it('skips empty hours, and a reading older than the open hour changes nothing', () => {
    const first = takeReading(null, start, 20);
    expect(first).toEqual({ open: { t: start, tempC: 20, count: 1 }, done: null });
    const later = takeReading(first.open, start + 5 * hourMs, 22);
    expect(later.done).toEqual(first.open);
    expect(takeReading(later.open, start + hourMs, 99)).toEqual({ open: later.open, done: null });
    expect(hourlyMeans([])).toEqual([]);
  });
});
