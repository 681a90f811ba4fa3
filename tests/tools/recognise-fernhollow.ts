import { dayMs, type EpochMs, hourMs, minuteMs } from '../../shared/time.ts';
import { createRandom, seedOf } from '../../simulator/random.ts';
import { fernhollowHistory } from '../../simulator/scenarios/fernhollow.ts';
import { createWorld } from '../../simulator/world.ts';
import { belongs, fitOf, questionsOf, saidOf } from './recognise-study.ts';

const startAt = Date.UTC(2026, 3, 6);
/** So many days teach what its rooms are, before the first load comes. */
const learnDays = 6;
const standsMs = 18 * hourMs;

/** Unloads that nobody declared in the two rooms of Fernhollow, one each day by turns, as large as its loads are. */
export function recogniseAtFernhollow({ loads, seed }: { loads: number; seed: number }) {
  const random = createRandom(seedOf(seed, 'fernhollow loads'));
  const days = learnDays + loads + 1;
  const unloads = Array.from({ length: loads }, (_, n) => ({
    id: `load-${n}`,
    room: n % 2 === 0 ? 'warm' : 'cool',
    container: 'grain-bag',
    count: Math.round(random.between(44, 96)),
    startC: random.between(90, 98),
    at: startAt + (learnDays + n) * dayMs + Math.round(random.between(7 * 60, 15 * 60)) * minuteMs,
  }));
  const world = createWorld({
    scenario: { ...fernhollowHistory, unloads: [], roomFaults: [], sensorFaults: [] },
    seed,
    startAt,
  });
  // Only the truth is asked: sensors send as rarely as they may.
  world.setLeastSpacing(dayMs / 1000);
  const trueC = { warm: new Float64Array(days * 24 * 60), cool: new Float64Array(days * 24 * 60) };
  for (let minute = 0; minute < days * 24 * 60; minute++) {
    const now: EpochMs = startAt + minute * minuteMs;
    world.stepTo(now);
    for (const { at, ...load } of unloads) {
      if (at === now) world.bringIn(load);
      if (at + standsMs === now) world.takeAway(load.id);
    }
    trueC.warm[minute] = world.airC('warm');
    trueC.cool[minute] = world.airC('cool');
  }
  let [recognised, wrong] = [0, 0];
  for (const room of ['warm', 'cool'] as const) {
    const airC = saidOf(trueC[room], seedOf(seed, room));
    const fit = fitOf({ farm: world.farm, room, from: startAt }, airC.subarray(0, learnDays * 24 * 60));
    const asked = questionsOf({ from: startAt, airC, fitAt: () => fit }, 0);
    const here = unloads.filter((unload) => unload.room === room);
    recognised += here.filter(({ at }) => asked.some((one) => belongs(one, at) && !one.takenBack)).length;
    wrong += asked.filter(
      (one) => !here.some(({ at }) => one.at > at - 20 * minuteMs && one.at < at + standsMs),
    ).length;
  }
  return { loads, recognised, wrong, weeks: (2 * days) / 7 };
}
