import { expect, it } from 'vitest';
import { hourMs, minuteMs } from '../../../../shared/time.ts';
import { isNews } from '../../../../shared/unload/asked-before.ts';

const at = Date.UTC(2026, 3, 8, 12);
const doubtful = { at, orStopped: true };
const clear = { at, orStopped: false };

it('what began within four hours of a question or a load is not asked again', () => {
  expect(isNews(clear, [])).toBe(true);
  expect(isNews({ ...clear, at: at + 3.9 * hourMs }, [clear])).toBe(false);
  expect(isNews({ ...clear, at: at - 3.9 * hourMs }, [{ at }])).toBe(false);
  expect(isNews({ ...clear, at: at + 4 * hourMs }, [clear])).toBe(true);
});

it('a doubtful question does not hide a clear load that came half an hour apart', () => {
  const later = (minutes: number) => ({ ...clear, at: at + minutes * minuteMs });
  expect(isNews(later(30), [doubtful])).toBe(true);
  expect(isNews(later(29), [doubtful])).toBe(false);
  expect(isNews({ ...later(60), orStopped: true }, [doubtful])).toBe(false);
  expect(isNews(later(60), [doubtful, later(10)])).toBe(false);
});
