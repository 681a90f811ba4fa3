import { expect, it } from 'vitest';
import {
  everything,
  filterOf,
  questionOf,
  searchOf,
} from '../../../../../dashboard/web/alarms/journal-question.ts';
import { dayMs } from '../../../../../shared/time.ts';

const now = 1_770_000_123_456;

it('a filter comes back from the address it was written into', () => {
  const filter = { ...everything, place: 'warm', who: 'Ida & Bo', days: '7' };
  expect(filterOf(`?${searchOf(filter)}`)).toEqual(filter);
  expect(filterOf('')).toEqual(everything);
});

it('asks from a whole minute, and behind a line', () => {
  const query = new URLSearchParams(questionOf({ ...everything, state: 'shelved', days: '7' }, now, 91));
  expect(query.get('before')).toBe('91');
  expect(query.get('days')).toBeNull();
  const from = Number(query.get('from'));
  expect(from % 60_000).toBe(0);
  expect(now - 7 * dayMs - from).toBeLessThan(60_000);
});
