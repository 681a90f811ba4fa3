import { expect, it } from 'vitest';
import { minuteMs } from '../../../shared/time.ts';
import type { UnloadEvent } from '../../../shared/unloads.ts';
import { followUnload } from '../../../simulator/follow-unload.ts';
import { fernhollowHistory } from '../../../simulator/scenarios/fernhollow.ts';
import { createWorld } from '../../../simulator/world.ts';

const startAt = Date.UTC(2025, 2, 3);
const world = createWorld({ scenario: fernhollowHistory, seed: 4, startAt });
const begun = (unload: string, t: number): UnloadEvent => ({
  ...{ id: `event-${unload}`, t, who: 'Ida', unload, kind: 'begun', room: 'warm' },
  load: { container: 'grain-bag', count: 40, startC: 95 },
  options: { fan: false, extraCoolingW: 0 },
});

it('a load that is declared comes into its room, and goes when it is over or was none', () => {
  followUnload(world, begun('unload-1', startAt));
  expect(world.loadC('unload-1')?.coreC).toBe(95);
  followUnload(world, { id: 'event-2', t: startAt, who: 'Ida', unload: 'unload-1', kind: 'withdrawn' });
  expect(world.loadC('unload-1')).toBeUndefined();
});

it('a probe stands in a load as it is said to', () => {
  const probeIn = (unload: string) => world.snapshot().loads?.find(({ id }) => id === unload)?.probe;
  followUnload(world, begun('unload-3', startAt));
  expect(probeIn('unload-3')).toBe('cart-warm');
  const probed = { id: 'event-3', t: startAt, who: 'Ida', unload: 'unload-3', kind: 'probed' } as const;
  followUnload(world, { ...probed, channel: null });
  expect(probeIn('unload-3')).toBeNull();
  followUnload(world, { ...probed, channel: 'cart-warm.probe-temperature' });
  expect(probeIn('unload-3')).toBe('cart-warm');
  followUnload(world, { ...begun('unload-4', startAt), probe: null } as UnloadEvent);
  expect(probeIn('unload-4')).toBeNull();
});

it('a load said to have come in earlier, as after a question, brings no hot cart in now', () => {
  followUnload(world, begun('unload-2', startAt - 27 * minuteMs));
  expect(world.loadC('unload-2')).toBeUndefined();
});
