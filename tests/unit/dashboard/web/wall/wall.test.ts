import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { burnShift } from '../../../../../dashboard/web/wall/burn-shift.ts';
import { roomsOnPage } from '../../../../../dashboard/web/wall/pages.ts';

const rooms = ['a', 'b', 'c', 'd', 'e'].map((id) => ({ id }));
const ids = (alarmed: string[], turn: number) =>
  roomsOnPage(rooms, new Set(alarmed), 2, turn).shown.map(({ id }) => id);

describe('pages of the wall', () => {
  it('are one when all rooms fit', () => {
    expect(roomsOnPage(rooms.slice(0, 2), new Set(), 2, 5)).toEqual({ shown: rooms.slice(0, 2), pages: 1 });
  });

  it('turn through all rooms and begin again', () => {
    expect([0, 1, 2, 3].map((turn) => ids([], turn))).toEqual([['a', 'b'], ['c', 'd'], ['e'], ['a', 'b']]);
  });

  it('always show the room in alarm', () => {
    for (let turn = 0; turn < 8; turn += 1) expect(ids(['d'], turn)).toContain('d');
    expect(new Set([0, 1, 2, 3].flatMap((turn) => ids(['d'], turn)))).toEqual(
      new Set(['a', 'b', 'c', 'd', 'e']),
    );
  });

  it('turn among the rooms in alarm when more are than fit', () => {
    expect([0, 1].map((turn) => ids(['a', 'c', 'd'], turn))).toEqual([['a', 'c'], ['d']]);
  });

  it('never show more than fit, nor none', () => {
    fc.assert(
      fc.property(
        fc.subarray(['a', 'b', 'c', 'd', 'e']),
        fc.integer({ min: 1, max: 5 }),
        fc.nat(99),
        (alarmed, perPage, turn) => {
          const { shown } = roomsOnPage(rooms, new Set(alarmed), perPage, turn);
          expect(shown.length).toBeGreaterThan(0);
          expect(shown.length).toBeLessThanOrEqual(perPage);
        },
      ),
      { seed: 11 },
    );
  });
});

describe('the slow walk against burning in', () => {
  it('moves every four minutes, a few pixels, and comes back', () => {
    const places = Array.from({ length: 14 }, (_, at) => burnShift(at * 240_000));
    expect(places.slice(0, 7)).toEqual(places.slice(7));
    expect(new Set(places.map(({ x, y }) => `${x} ${y}`)).size).toBe(7);
    for (const { x, y } of places) expect(Math.max(Math.abs(x), Math.abs(y))).toBeLessThanOrEqual(10);
  });
});
