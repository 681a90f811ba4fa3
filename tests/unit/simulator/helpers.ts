import type { BagEvent, EventOf } from '../../../shared/bags.ts';
import { fernhollowHistory } from '../../../simulator/scenarios/fernhollow.ts';
import type { Scenario } from '../../../simulator/scenarios/scenario.ts';

/** A Wednesday, 08:00 UTC. */
export const someMorning = Date.UTC(2025, 4, 7, 8);

/** Fernhollow without anything going wrong. */
export const calmScenario: Scenario = { ...fernhollowHistory, roomFaults: [], sensorFaults: [] };

let nextId = 0;
const signed = () => ({ id: `test-event-${nextId++}`, who: 'Ida' });

export const made = (batch: string, t: number, more: Partial<EventOf<'made'>> = {}): EventOf<'made'> => ({
  ...signed(),
  t,
  batch,
  kind: 'made',
  strain: 'larch-2',
  container: 'grain-bag',
  count: 2,
  generation: 'G1',
  inoculation: { way: 'agar-wedges', pieces: 12 },
  ...more,
});

type Without<E> = E extends BagEvent ? Omit<E, 'id' | 'who'> : never;
export const event = (body: Without<BagEvent>): BagEvent => ({ ...signed(), ...body }) as BagEvent;
