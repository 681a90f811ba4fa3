import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { instantOf, localOf } from '../../../../../dashboard/web/format/zoned.ts';
import { minuteMs } from '../../../../../shared/time.ts';

describe('the wall clock of a zone', () => {
  it('is read and written', () => {
    const t = Date.UTC(2026, 10, 24, 13, 32);
    expect(localOf(t, 'Europe/Berlin')).toBe('2026-11-24T14:32');
    expect(instantOf('2026-11-24T14:32', 'Europe/Berlin')).toBe(t);
    expect(instantOf('2026-11-24T14:32:30', 'Europe/Berlin')).toBe(t);
  });

  it('takes the first of an hour that comes twice, and moves on one that is skipped', () => {
    expect(instantOf('2026-10-25T02:30', 'Europe/Berlin')).toBe(Date.UTC(2026, 9, 25, 0, 30));
    const skipped = instantOf('2026-03-29T02:30', 'Europe/Berlin')!;
    expect(localOf(skipped, 'Europe/Berlin')).toBe('2026-03-29T03:30');
  });

  it.each(['', '2026-13-01T00:00', '2026-11-24', 'now'])('%j is no date and time', (local) => {
    expect(instantOf(local, 'Europe/Berlin')).toBeNull();
  });

  it('comes back to the same minute, in any zone, outside a doubled hour', () => {
    const zones = ['UTC', 'Europe/Berlin', 'America/St_Johns', 'Asia/Kathmandu', 'Pacific/Apia'];
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 40_000_000 }), fc.constantFrom(...zones), (minute, zone) => {
        const local = localOf(minute * minuteMs, zone);
        expect(localOf(instantOf(local, zone)!, zone)).toBe(local);
      }),
      { seed: 3, numRuns: 300 },
    );
  });
});
