import { describe, expect, it } from 'vitest';
import { learnOffset, newShelfOffset, offsetOf, shelfAir } from '../../../../shared/air/shelf-air.ts';

const expected = { meanC: 21, sdC: 0.8 };
const warmTop = Array.from({ length: 100 }, (_, hour) => 1.5 + 0.1 * Math.sin(hour)).reduce(
  (offset, differenceK) => learnOffset(offset, 22 + differenceK, 22),
  newShelfOffset(),
);

describe('air at a shelf', () => {
  it('is its own sensors mean when it has any', () => {
    const air = shelfAir({ own: [22, 23], room: [30], offset: offsetOf(warmTop), expected });
    expect(air).toMatchObject({ tempC: 22.5, provenance: 'measured' });
    expect(air.sdC).toBeLessThan(shelfAir({ own: [22], room: [], offset: offsetOf(warmTop), expected }).sdC);
  });
  it('is the room plus what the shelf has been over it before', () => {
    const air = shelfAir({ own: [], room: [22, 24], offset: offsetOf(warmTop), expected });
    expect(air.provenance).toBe('neighbour');
    expect(air.tempC).toBeCloseTo(24.5, 1);
  });
  it('is the room s usual day plus the offset when nothing is measured', () => {
    const air = shelfAir({ own: [], room: [], offset: offsetOf(warmTop), expected });
    expect(air.provenance).toBe('filled');
    expect(air.tempC).toBeCloseTo(22.5, 1);
  });
  it('each step down is less sure, a shelf never measured least of all', () => {
    for (const offset of [warmTop, newShelfOffset()].map(offsetOf)) {
      const sds = [
        shelfAir({ own: [22], room: [22], offset, expected }),
        shelfAir({ own: [], room: [22, 22, 22, 22], offset, expected }),
        shelfAir({ own: [], room: [], offset, expected }),
      ].map(({ sdC }) => sdC);
      expect(sds[1]!).toBeGreaterThan(sds[0]!);
      expect(sds[2]!).toBeGreaterThan(sds[1]!);
    }
    const known = shelfAir({ own: [], room: [22], offset: offsetOf(warmTop), expected }).sdC;
    expect(
      shelfAir({ own: [], room: [22], offset: offsetOf(newShelfOffset()), expected }).sdC,
    ).toBeGreaterThan(2 * known);
  });
});

describe('shelf offset', () => {
  it('is the median of the past: one odd hour does not move it', () => {
    const { offsetK } = offsetOf(warmTop);
    expect(offsetOf(learnOffset(warmTop, 60, 20)).offsetK).toBeCloseTo(offsetK, 2);
  });
  it('forgets after a week of hours', () => {
    let offset = warmTop;
    for (let hour = 0; hour < 168; hour++) offset = learnOffset(offset, 20, 20);
    expect(offsetOf(offset)).toMatchObject({ offsetK: 0, hours: 168 });
    expect(offset.differencesK).toHaveLength(168);
  });
  it('is 0 within 1 K before anything is known, and surer with each hour that agrees', () => {
    expect(offsetOf(newShelfOffset())).toEqual({ offsetK: 0, sdK: 1, hours: 0 });
    let offset = newShelfOffset();
    let before = 1;
    for (let hour = 0; hour < 20; hour++) {
      offset = learnOffset(offset, 23, 22);
      const { sdK } = offsetOf(offset);
      expect(sdK).toBeLessThanOrEqual(before);
      before = sdK;
    }
    expect(before).toBeLessThan(0.5);
  });
});
