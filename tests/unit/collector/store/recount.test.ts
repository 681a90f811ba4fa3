import { expect, test } from 'vitest';
import { storeMigrations } from '../../../../collector/store/migrations.ts';
import { openDatabase } from '../../../../collector/store/open-database.ts';
import { createReadingsLog } from '../../../../collector/store/readings-log.ts';
import { recount } from '../../../../collector/store/recount.ts';
import { readingOf, t0 } from '../../../tools/history-suite.ts';

function filled() {
  const database = openDatabase({ file: ':memory:', migrations: storeMigrations, clock: { now: () => t0 } });
  const log = createReadingsLog(database);
  log.append(Array.from({ length: 500 }, (_, index) => readingOf(t0 + index * 9_000, 20 + index / 7)));
  log.settle();
  return { database, log };
}

test('finds nothing wrong, and knows what is not settled yet', () => {
  const { database, log } = filled();
  log.append([readingOf(t0 + 5_000_000, 1), readingOf(t0 - 1, 2)]);
  expect(recount(database)).toMatchObject({ readings: 502, unsettled: 1, wrong: 0 });
});

test.each([
  ['a count', 'UPDATE rollup_15m SET count = count + 1'],
  ['a lowest value', 'UPDATE rollup_15m SET low = low - 0.001'],
  ['a highest value', 'UPDATE rollup_15m SET high = high + 0.001'],
  ['a sum', 'UPDATE rollup_15m SET total = total * 1.000001'],
  ['a last value', 'UPDATE rollup_15m SET last = low'],
  ['a lost bucket', 'DELETE FROM rollup_15m'],
  ['a lost reading', `DELETE FROM reading WHERE t < ${t0 + 900_000}`],
])('finds %s that is wrong', (_, damage) => {
  const { database } = filled();
  database.exec(damage);
  const { wrong, examples } = recount(database);
  expect(wrong).toBeGreaterThan(0);
  expect(examples[0]).toMatch(/holds .*; the readings say /);
});
