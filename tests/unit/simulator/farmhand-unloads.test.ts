import { expect, it } from 'vitest';
import { hourMs, minuteMs } from '../../../shared/time.ts';
import { type UnloadEvent, unloadEvent } from '../../../shared/unloads.ts';
import { liveDays } from '../../../simulator/farmhand/days.ts';
import { createFarmhand } from '../../../simulator/farmhand/farmhand.ts';
import { createRandom } from '../../../simulator/random.ts';
import { fernhollowHistory } from '../../../simulator/scenarios/fernhollow.ts';
import { createWorld } from '../../../simulator/world.ts';

it('loads come in when they should, are measured, cool, and go; each is written down as a farm would', () => {
  const startAt = Date.UTC(2025, 2, 3);
  const unloads = fernhollowHistory.unloads!.slice(0, 1).map((load) => ({ ...load, atH: 1.05 }));
  const world = createWorld({ scenario: { ...fernhollowHistory, unloads }, seed: 4, startAt });
  const random = createRandom(1).state();
  const events: UnloadEvent[] = [];
  const until = startAt + 20 * hourMs;
  liveDays(
    world,
    createFarmhand(world, { random, events: [], made: {}, acts: 0 }),
    { deliver() {}, record() {}, advanceTo() {}, unload: (event) => events.push(event) },
    until,
    startAt,
  );
  for (const event of events) expect(unloadEvent.parse(event)).toEqual(event);
  expect(events.map(({ kind, t }) => [kind, (t - startAt) / minuteMs])).toEqual([
    ['begun', 63],
    ['measured', 273],
    ['measured', 1167],
    ['ended', 1167],
  ]);
  const cores = events.flatMap((event) => (event.kind === 'measured' ? event.tempC : []));
  expect(cores[0]).toBeGreaterThan(45);
  expect(cores[1]).toBeLessThan(32);
  expect(world.loadC(unloads[0]!.id)).toBeUndefined();
});
