import { afterEach, beforeEach, expect, it } from 'vitest';
import type { ComingWarmth } from '../../../../collector/forecast/coming.ts';
import { createExplainedAir, type RoomDepartures } from '../../../../collector/forecast/explained-air.ts';
import { migrations } from '../../../../collector/main.ts';
import { createToldBook } from '../../../../collector/rooms/told-book.ts';
import { type Database, openDatabase } from '../../../../collector/store/open-database.ts';
import { createManualClock } from '../../../../shared/manual-clock.ts';
import { dayMs, hourMs } from '../../../../shared/time.ts';

const start = Date.UTC(2026, 4, 4);
const telling = (fromHour: number, ...departureK: number[]): RoomDepartures => ({
  ...{
    room: 'lab',
    from: start + fromHour * hourMs,
    departureK,
    sdK: departureK.map((k) => Math.abs(k) / 5),
  },
});
const warmth = (riseK: number): ComingWarmth => ({
  ...{ room: 'lab', from: start, stepMs: hourMs, riseK: [riseK, riseK / 3], sdK: [riseK / 9, 0] },
});

let database: Database;
let book: ReturnType<typeof createToldBook>;
beforeEach(() => {
  database = openDatabase({ file: ':memory:', migrations, clock: createManualClock(start) });
  book = createToldBook(database);
});
afterEach(() => database.close());

/** What a forecaster hears of a span. */
function heard(after: number, upTo: number) {
  const departures: RoomDepartures[] = [];
  const coming: (readonly ComingWarmth[])[] = [];
  const to = {
    setDepartures: (one: RoomDepartures) => departures.push(one),
    setComing: coming.push.bind(coming),
  };
  book.tell(to, after, upTo);
  return { departures, coming };
}

it('tells in one what was told piece by piece, and nothing that was told after', () => {
  const pieces = [telling(0, 0.125, 0.2, -0.3), telling(1, 0.4, 0.5, 0.6), telling(6, 1), telling(5, 2, 3)];
  const air = createExplainedAir();
  pieces.forEach((piece, hour) => {
    book.keepDepartures(start + hour * hourMs, piece);
    air.tell(piece);
    expect(heard(0, start + hour * hourMs).departures).toEqual([air.told('lab')]);
  });
  const late = createExplainedAir();
  for (const piece of pieces.slice(2)) late.tell(piece);
  expect(heard(start + hourMs, start + dayMs).departures).toEqual([late.told('lab')]);
  expect(heard(start + dayMs, start + 2 * dayMs)).toEqual({ departures: [], coming: [] });
  expect(book.toldAt('lab')).toBe(start + 3 * hourMs);
  expect(book.toldAt('store')).toBeNull();
});

it('puts warmth down where it is news, and tells the last', () => {
  book.keepComing(start, []);
  expect(heard(0, start).coming).toEqual([]);
  book.keepComing(start + 1, [warmth(1)]);
  book.keepComing(start + 2, [warmth(1)]);
  book.keepComing(start + 3, [warmth(2)]);
  book.keepComing(start + 4, []);
  expect(heard(start + 1, start + 2).coming).toEqual([]);
  expect(heard(0, start + 3).coming).toEqual([[warmth(2)]]);
  expect(heard(0, start + 4).coming).toEqual([[]]);
});

it('lets go of what is older than four hundred days', () => {
  book.keepDepartures(start, telling(0, 1));
  book.keepDepartures(start + 399 * dayMs, telling(2, 1));
  expect(heard(0, start).departures.length).toBe(1);
  book.keepDepartures(start + 401 * dayMs, telling(4, 1));
  expect(heard(0, start).departures.length).toBe(0);
});
