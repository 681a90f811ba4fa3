import type { BagEvent } from '../../shared/bags.ts';
import { type EpochMs, hourMs, minuteMs } from '../../shared/time.ts';
import type { UnloadEvent } from '../../shared/unloads.ts';
import { seedOf } from '../random.ts';
import type { SensorMessage } from '../sensor/sensor.ts';
import type { World } from '../world.ts';
import type { Farmhand } from './farmhand.ts';
import { createUnloader } from './unloads.ts';

/** How a site takes what happens on a simulated farm. */
export interface Intake {
  /** Messages in the order of their times; each arrived at its own `t`. */
  deliver(messages: readonly SensorMessage[]): void;
  record(event: BagEvent): void;
  /** What people write down of hot loads. */
  unload?(event: UnloadEvent): void;
  /** Somebody looks at the alarms and acknowledges what rings. */
  visit?(who: string): void;
  /** Lets the site's own clock reach `t`, once everything up to it has been handed over. */
  advanceTo(t: EpochMs): void;
}

/** Rounds through the racks begin at these hours of the sun's day. */
const roundHours = [8.5, 14.25];
/** Who looks at the alarms. */
export const visitor = 'Ida';
const betweenActsMs = 90_000;
/** Nobody comes on the dot: a round begins up to this much later. */
const latestMs = 25 * minuteMs;
/** Handed over at most this much at a time, so that a site's clock follows closely. */
const handOverMs = 10 * minuteMs;

/** The next round after `t`, given how far the sun is ahead of UTC [h]. */
export function nextRound(t: EpochMs, sunOffsetH: number): EpochMs {
  const shifted = t + sunOffsetH * hourMs;
  const midnight = Math.floor(shifted / (24 * hourMs)) * 24 * hourMs;
  const candidates = [0, 24].flatMap((day) => roundHours.map((hour) => midnight + (day + hour) * hourMs));
  return candidates.find((at) => at > shifted)! - sunOffsetH * hourMs;
}

/** Another for each round [ms]. */
const lateness = (round: EpochMs): number => (seedOf(round) >>> 0) % latestMs;

/** Lives on to `t`, handing everything over on the way; a step after each hand-over. */
function* passTime(world: World, t: EpochMs, intake: Intake): Generator<void> {
  const unloader = createUnloader(world);
  while (world.now() < t) {
    const next = Math.min(t, world.now() + handOverMs, unloader.nextAfter(world.now()));
    intake.deliver(world.stepTo(next));
    intake.advanceTo(next);
    for (const event of unloader.doNow()) intake.unload?.(event);
    yield;
  }
}

/**
 * Farm days up to `until`: time passes, and at every round before `workUntil` the farmhand acts. Done in
 * steps of at most ten minutes of the farm, so that whoever has other things to do can do them between.
 */
export function* daysInSteps(
  world: World,
  farmhand: Farmhand,
  intake: Intake,
  until: EpochMs,
  workUntil: EpochMs,
): Generator<void> {
  const { sunOffsetH } = world.scenario.climate;
  for (;;) {
    const round = nextRound(world.now(), sunOffsetH);
    if (round > Math.min(until, workUntil)) break;
    yield* passTime(world, Math.min(until, round + lateness(round)), intake);
    intake.visit?.(visitor);
    for (const act of farmhand.round()) {
      for (const event of act(world.now())) {
        world.apply(event);
        farmhand.notice(event);
        intake.record(event);
      }
      yield* passTime(world, Math.min(until, world.now() + betweenActsMs), intake);
    }
  }
  yield* passTime(world, until, intake);
}

/** As `daysInSteps`, at once. */
export function liveDays(...days: Parameters<typeof daysInSteps>): void {
  for (const _ of daysInSteps(...days));
}
