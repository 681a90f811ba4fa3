import { describe, expect, it } from 'vitest';
import { bagRoomsStudy } from '../tools/bag-rooms-study.ts';

/** A small sample of `bench -- bags`: the simulator's bags make heat by a physics of their own. */
describe('rooms that bags fill and leave', () => {
  const rooms = bagRoomsStudy({ seed: 7, count: 2, days: 31, middling: true }, ['untold']);

  it('get told about as much heat of bags as those truly give, and when they do', () => {
    for (const { toldW, trueW, correlation } of rooms) {
      expect(toldW / trueW).toBeGreaterThan(0.5);
      expect(toldW / trueW).toBeLessThan(1.5);
      expect(correlation).toBeGreaterThan(0.5);
    }
  });
  it('are learned with a loss that is missed by less than three quarters', () => {
    const sum = (way: 'withBags' | 'without') =>
      rooms.reduce((total, { missed }) => total + missed.untold![way].loss, 0);
    expect(sum('withBags')).toBeLessThan(0.75 * sum('without'));
  });
});
