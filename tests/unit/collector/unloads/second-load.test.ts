import { setImmediate as nextTurn } from 'node:timers/promises';
import { expect, test } from 'vitest';
import { systemClock } from '../../../../collector/system-clock.ts';
import { hourMs } from '../../../../shared/time.ts';
import { expectedAt } from '../../../../shared/unload/expected.ts';
import { type WatchedUnload, watchedByRoom } from '../../../../shared/unload/watched.ts';
import type { UnloadEvent } from '../../../../shared/unloads.ts';
import { smallFarm } from '../../../tools/alarm-site.ts';
import { until } from '../../../tools/until.ts';
import { wholeSite } from '../../../tools/whole-site.ts';

const farm = smallFarm({
  containers: [
    {
      ...{ id: 'block', name: 'Block 2.3 kg', kind: 'block', massKg: 2.3, volumeL: 3.4 },
      shape: { form: 'brick', widthM: 0.12, depthM: 0.12, heightM: 0.24 },
    },
  ],
});
const options = { fan: false, extraCoolingW: 0 };

type Whole = Awaited<ReturnType<typeof wholeSite>>;
async function breathe(whole: Whole, minutes: number, airC: (t: number) => number): Promise<void> {
  for (let half = 0; half < 2 * minutes; half += 1) {
    whole.clock.advanceBy(30_000);
    const tempC = airC(whole.clock.now()) + (half % 2 === 0 ? 0 : 0.1);
    whole.say('warm/air', JSON.stringify({ t: tempC, h: 60 }));
    whole.say('a1', String(tempC));
    whole.say('a2', String(tempC - 1));
    await nextTurn();
  }
}

test('the second part of a split is planned with the first, and the room is watched by what both bring', async () => {
  const whole = await wholeSite(farm);
  const { unloads } = whole.site.desk;
  await breathe(whole, 90, () => 24);
  const open = () => whole.site.desk.live().unloads.open;
  const begin = async (unload: string, count: number) => {
    const more = { room: 'warm-room', load: { container: 'block', count, startC: 95 }, options };
    const t = whole.clock.now();
    unloads.record({ kind: 'begun', id: `begun-${unload}`, t, who: 'Rowan', unload, ...more } as UnloadEvent);
    await until(systemClock, () => (open().find(({ id }) => id === unload)?.plan ?? null) !== null);
    return open().find(({ id }) => id === unload)!.plan!;
  };
  const first = await begin('cart-one', 20);
  await breathe(whole, 31, (t) => expectedAt(first.air, t)!.likely);
  const second = await begin('cart-two', 120);
  expect(second.assumed.join(' ')).toContain('Loads that stand there already are counted');
  // Both together are warmer than the first alone was to be.
  const secondAt = whole.clock.now();
  expect(second.peak.tempC.likely).toBeGreaterThan(expectedAt(first.air, secondAt + hourMs)!.high + 1);
  await breathe(whole, 20, (t) => expectedAt(second.air, t)!.likely);
  const [one, two] = open();
  expect(one!.now!.beyondK).toBe(0);
  expect(one!.now!.remarks).toEqual([]);
  expect(one!.now!.notes.join()).toContain('Another load came in after it');
  expect(two!.now!.notes).toEqual([]);
  expect(one!.now!.coreC.likely).toBeLessThan(two!.now!.coreC.likely);
  expect(whole.alarm('unload-beyond/warm-room')).toBeUndefined();
  expect(whole.alarm('high/warm-room.temperature')?.state).toBe('suppressed');
  // Warmer than both together were to make it: now it rings.
  await breathe(whole, 10, () => second.peak.tempC.high + 4);
  expect(whole.alarm('unload-beyond/warm-room')?.state).toBe('unacknowledged');

  // The first is carried off; its report goes until the second came in.
  const ended = {
    kind: 'ended',
    id: 'ended-one',
    unload: 'cart-one',
    who: 'Rowan',
    because: 'hand',
  } as const;
  unloads.record({ ...ended, t: whole.clock.now() });
  await until(systemClock, () => unloads.unload('cart-one').report !== null);
  const report = unloads.unload('cart-one').report!;
  expect(report.peakAt!).toBeLessThanOrEqual(secondAt);
  expect(report.peakC!).toBeLessThan(first.peak.tempC.high + 0.2);
  expect(open()).toHaveLength(1);
}, 120_000);

test('loads of one room are watched as one, by the newest plan of the air and the worst of their own troubles', () => {
  const watched = (more: Partial<WatchedUnload>): WatchedUnload => ({
    ...{ id: 'one', room: 'warm', load: '20 × Block', at: 0, heldUntil: 4 * hourMs, beyondK: 2, slowK: null },
    ...{ warmK: null, overdueMin: 12, probe: null, ...more },
  });
  const newer = watched({ id: 'two', load: '30 × Jar', at: hourMs, heldUntil: 6 * hourMs, beyondK: 0 });
  const other = watched({ id: 'three', room: 'cool' });
  const slow = { ...newer, slowK: 1.5, overdueMin: -90 };
  expect([...watchedByRoom([slow, watched({ slowK: 0.2 }), other]).values()]).toEqual([
    { ...slow, load: '20 × Block and 30 × Jar', at: 0, overdueMin: 12 },
    other,
  ]);
  expect(watchedByRoom([]).size).toBe(0);
});
