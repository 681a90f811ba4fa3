import { beforeEach, expect, test } from 'vitest';
import { type BagBook, createBagBook } from '../../../../collector/bags/bag-book.ts';
import { bagMigrations } from '../../../../collector/bags/migrations.ts';
import { type Database, openDatabase } from '../../../../collector/store/open-database.ts';
import type { BagEvent } from '../../../../shared/bags.ts';
import { createManualClock } from '../../../../shared/manual-clock.ts';
import { dayMs } from '../../../../shared/time.ts';
import { createEventWriter, day, making } from '../../../tools/bag-events.ts';
import { smallFarm } from '../../../tools/small-farm.ts';

const farm = smallFarm([], {
  strains: [{ id: 'oyster-blue', name: 'Blue', species: 'oyster' }],
  containers: [
    {
      id: 'bag-3l',
      name: '3 L bag',
      kind: 'bag',
      shape: { form: 'cylinder', diameterM: 0.14, heightM: 0.2 },
      massKg: 2.2,
      volumeL: 3,
    },
  ],
});

let event: ReturnType<typeof createEventWriter>;
let database: Database;
let book: BagBook;
let clock: ReturnType<typeof createManualClock>;
const parts = () => ({ database, farm: () => farm, clock });
const tell = (...events: BagEvent[]) => events.map((told) => book.record(told));
const made = () => event('made', 0, making);

beforeEach(() => {
  event = createEventWriter();
  clock = createManualClock(day(20));
  database = openDatabase({ file: ':memory:', migrations: bagMigrations, clock });
  book = createBagBook(parts());
});

test('what is recorded is there, now and for a book opened later', () => {
  tell(made(), event('placed', 0, { shelf: 'A1' }), event('shaken', 7, { bags: [1] }));
  expect(book.batch('K7M-4RT')?.cohorts).toMatchObject([{ bags: [1] }, { bags: [2, 3, 4, 5, 6] }]);
  const again = createBagBook(parts());
  expect(again.batches()).toEqual(book.batches());
  expect(again.events('K7M-4RT').map((told) => told.kind)).toEqual(['made', 'placed', 'shaken']);
});

test('the same event twice is stored once; another under its id is refused', () => {
  const making1 = made();
  expect(tell(making1, { ...making1 })).toEqual([true, false]);
  // Told with its fields in another order, as another program might.
  expect(tell(Object.fromEntries(Object.entries(making1).reverse()) as BagEvent)).toEqual([false]);
  expect(() => tell({ ...making1, count: 7 })).toThrow(/id 'K7M-4RT-event-001' is recorded already.*its own/);
  expect(book.events('K7M-4RT')).toHaveLength(1);
});

const refusals: [string, () => BagEvent, string, RegExp][] = [
  [
    'strain unknown',
    () => event('made', 0, { ...making, strain: 'oyster' }),
    'not-found',
    /Known: oyster-blue/,
  ],
  [
    'container unknown',
    () => event('made', 0, { ...making, container: 'jar' }),
    'not-found',
    /Known: bag-3l/,
  ],
  ['shelf unknown', () => event('placed', 1, { shelf: 'Z9' }), 'not-found', /shelf 'Z9'.*Known: A1, A2/],
  ['made twice', () => event('made', 1, making), 'conflict', /batch K7M-4RT already/],
  ['bag number beyond', () => event('shaken', 1, { bags: [6, 7] }), 'out-of-range', /bags 1 to 6, not bag 7/],
  ['before the making', () => event('shaken', -1, {}), 'out-of-range', /before the batch was made/],
  ['ahead of the clock', () => event('shaken', 20.01, {}), 'out-of-range', /lies ahead/],
  ['bag gone by then', () => event('shaken', 11, { bags: [6] }), 'out-of-range', /bag 6 had been used/],
  ['contradicts later', () => event('used', 5, { bags: [5] }), 'out-of-range', /contradict checked at/],
  [
    'unknown to take back',
    () => event('undone', 12, { event: 'nothing' }),
    'not-found',
    /no event 'nothing'/,
  ],
  [
    'unmaking with events',
    () => event('undone', 12, { event: 'the-making' }),
    'conflict',
    /cannot be unmade/,
  ],
  [
    'parent unknown',
    () => other('made', 1, { ...making, parent: { batch: 'NO' } }),
    'not-found',
    /parent of/,
  ],
  [
    'own parent',
    () => other('made', 1, { ...making, parent: { batch: 'ACD-EFG' } }),
    'not-found',
    /parent of/,
  ],
  [
    'parent bag',
    () => other('made', 1, { ...making, parent: { batch: 'K7M-4RT', bag: 9 } }),
    'out-of-range',
    /1 to 6/,
  ],
  [
    'child first',
    () => other('made', -1, { ...making, parent: { batch: 'K7M-4RT' } }),
    'out-of-range',
    /after ACD/,
  ],
  ['batch unknown', () => other('shaken', 1, {}), 'not-found', /no batch 'ACD-EFG'/],
  ['malformed', () => ({ ...event('checked', 1, { share: 3 }), who: '' }), 'bad-request', /who: .*share: /],
];
const other = createEventWriter('ACD-EFG');

test.each(refusals)('refuses, and stores nothing: %s', (_, told, code, words) => {
  tell(
    event('made', 0, { ...making, id: 'the-making' }),
    event('checked', 9, { bags: [5], share: 0.5 }),
    event('used', 10, { bags: [6] }),
  );
  expect(() => tell(told())).toThrow(
    expect.objectContaining({ code, message: expect.stringMatching(words) }),
  );
  expect(book.batches()).toHaveLength(1);
  expect(book.events('K7M-4RT')).toHaveLength(3);
});

test('a phone’s clock may be two minutes ahead', () => {
  tell(made());
  expect(tell({ ...event('shaken', 20, {}), t: clock.now() + 120_000 })).toEqual([true]);
});

test('a making without events is taken back, and its name is free again', () => {
  const making1 = made();
  tell(making1, event('undone', 1, { event: making1.id }));
  expect(book.batch('K7M-4RT')).toBeUndefined();
  expect(() => tell(event('undone', 1, { event: making1.id }))).toThrow(/taken back already/);
  expect(() => tell(event('shaken', 1, {}))).toThrow(/no batch/);
  tell(event('made', 2, making));
  expect(book.batch('K7M-4RT')?.madeAt).toBe(day(2));
});

test('an unmaking is taken back, unless the name was given anew', () => {
  const making1 = made();
  const unmaking = event('undone', 1, { event: making1.id });
  tell(making1, unmaking, event('undone', 2, { event: unmaking.id }));
  expect(book.batch('K7M-4RT')?.madeAt).toBe(day(0));
  const again = event('undone', 3, { event: making1.id });
  tell(again, event('made', 4, making));
  expect(() => tell(event('undone', 5, { event: again.id }))).toThrow(/made already/);
});

test('a parent is not unmade under its children', () => {
  const making1 = made();
  tell(making1, other('made', 12, { ...making, parent: { batch: 'K7M-4RT', bag: 2 } }));
  const undo = event('undone', 13, { event: making1.id });
  expect(() => tell(undo)).toThrow(/ACD-EFG came from it/);
});

test('as of an instant: as it stood, or as it was known then', () => {
  const shaken = event('shaken', 7, {});
  tell(made(), event('placed', 0, { shelf: 'A1' }));
  tell(shaken);
  clock.advanceBy(dayMs);
  const undo = event('undone', 21, { event: shaken.id });
  tell(undo);
  expect(book.asOf(day(3))).toMatchObject([{ cohorts: [{ shakes: [], shelf: 'A1' }] }]);
  expect(book.asOf(day(8))).toMatchObject([{ cohorts: [{ shakes: [] }] }]);
  // Everything was told on day 20 only, and taken back on day 21.
  expect(book.asOf(day(8), { knownThen: true })).toEqual([]);
  expect(book.asOf(day(20), { knownThen: true })).toMatchObject([{ cohorts: [{ shakes: [day(7)] }] }]);
  expect(book.asOf(day(21), { knownThen: true })).toMatchObject([{ cohorts: [{ shakes: [] }] }]);
});

test('imported history counts as known when it happened', () => {
  book.recordPast(made());
  book.recordPast(event('shaken', 7, {}));
  expect(book.asOf(day(8), { knownThen: true })).toMatchObject([{ cohorts: [{ shakes: [day(7)] }] }]);
});

test('a rollback around it leaves the book as it was', () => {
  tell(made());
  const failing = database.transaction(() => {
    tell(event('shaken', 7, {}));
    expect(book.batch('K7M-4RT')?.cohorts[0]?.shakes).toHaveLength(1);
    throw new Error('no');
  });
  expect(failing).toThrow('no');
  expect(book.batch('K7M-4RT')?.cohorts[0]?.shakes).toEqual([]);
  tell(event('checked', 7, { share: 0.4 }));
  expect(book.batch('K7M-4RT')?.cohorts[0]).toMatchObject({ shakes: [], checks: [{ share: 0.4 }] });
});

test('events are never changed nor removed', () => {
  tell(made());
  expect(() => database.exec("UPDATE bag_event SET body = '{}'")).toThrow(/never changed/);
  expect(() => database.exec('DELETE FROM bag_event')).toThrow(/never removed/);
});
