import { describe, expect, it } from 'vitest';
import { backOffMs } from '../../../../collector/intake/back-off.ts';

describe('the wait before trying again', () => {
  it('doubles from half a second to half a minute, within a quarter', () => {
    const bases = [500, 1000, 2000, 4000, 8000, 16_000, 30_000, 30_000];
    for (const [attempt, base] of bases.entries()) {
      const wait = backOffMs(attempt, 'north');
      expect(wait).toBeGreaterThanOrEqual(base * 0.75);
      expect(wait).toBeLessThanOrEqual(base * 1.25);
    }
    expect(backOffMs(100_000, 'north')).toBeLessThanOrEqual(37_500);
  });

  it('differs from site to site, and is the same for one', () => {
    const waits = ['north', 'south', 'east', 'west', 'mill', 'hill'].map((who) => backOffMs(4, who));
    expect(new Set(waits).size).toBe(waits.length);
    expect(backOffMs(4, 'north')).toBe(waits[0]);
  });
});
