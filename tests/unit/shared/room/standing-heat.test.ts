import { expect, it } from 'vitest';
import { thermalOf } from '../../../../shared/heat/container.ts';
import { createLoad } from '../../../../shared/heat/load.ts';
import { defaultRoom } from '../../../../shared/room/default-room.ts';
import type { PastLoad } from '../../../../shared/room/history.ts';
import { meanRoom } from '../../../../shared/room/room-fit.ts';
import { createStandingHeat } from '../../../../shared/room/standing-heat.ts';
import { hourMs, minuteMs } from '../../../../shared/time.ts';
import { block } from '../../../tools/plan-question.ts';

const room = meanRoom(defaultRoom(20));
const state = { airC: 22, structureC: 22 };
const cart: PastLoad = {
  ...{ at: 0, until: 20 * hourMs, cores: [] },
  load: { thermal: thermalOf(block), count: 50, startC: 95 },
};

it('a load that stands there gives what it loses, to air and walls together, until it is carried out', () => {
  const heat = createStandingHeat();
  const alone = createLoad({
    ...cart.load,
    filmFactor: room.filmFactor,
    heatFactor: room.heatFactor,
    airC: 22,
  });
  for (let t = 0; t < 3 * hourMs; t += 5 * minuteMs) {
    const { airW, wallW } = heat.step([cart], t, room, state, 300);
    expect(airW + wallW).toBeCloseTo(alone.step(22, 300), 6);
    expect(Math.min(airW, wallW)).toBeGreaterThan(0);
  }
  expect(heat.step([cart], cart.until!, room, state, 300)).toEqual({ airW: 0, wallW: 0 });
  expect(heat.step([], 21 * hourMs, room, state, 300)).toEqual({ airW: 0, wallW: 0 });
});

it('told of late it has cooled meanwhile, and what it will give is not taken from it', () => {
  const [early, late] = [createStandingHeat(), createStandingHeat()];
  for (let t = 0; t < 2 * hourMs; t += 5 * minuteMs) early.step([cart], t, room, state, 300);
  const fresh = () => [cart];
  const expected = early.step(fresh(), 2 * hourMs, room, state, 300);
  expect(late.step(fresh(), 2 * hourMs, room, state, 300).airW).toBeCloseTo(expected.airW, 6);
  const ahead = late.ahead(room, state, 12, 300);
  expect(ahead[11]!.airW).toBeLessThan(ahead[0]!.airW);
  expect(late.step(fresh(), 2 * hourMs + 5 * minuteMs, room, state, 300).airW).toBeCloseTo(ahead[0]!.airW, 6);
});
