import type { BagEvent } from '../../shared/bags.ts';
import { type EpochMs, hourMs, minuteMs } from '../../shared/time.ts';
import type { SensorMessage } from '../sensor/sensor.ts';
import type { World } from '../world.ts';
import type { Farmhand } from './farmhand.ts';

/** How a site takes what happens on a simulated farm. */
export interface Intake {
  /** Messages in the order of their times; each arrived at its own `t`. */
  deliver(messages: readonly SensorMessage[]): void;
  record(event: BagEvent): void;
  /** Lets the site's own clock reach `t`, once everything up to it has been handed over. */
  advanceTo(t: EpochMs): void;
}

/** Rounds through the racks begin at these hours of the sun's day. */
const roundHours = [8.5, 14.25];
const betweenActsMs = 90_000;
/** Handed over at most this much at a time, so that a site's clock follows closely. */
const handOverMs = 10 * minuteMs;

/** The next round after `t`, given how far the sun is ahead of UTC [h]. */
export function nextRound(t: EpochMs, sunOffsetH: number): EpochMs {
  const shifted = t + sunOffsetH * hourMs;
  const midnight = Math.floor(shifted / (24 * hourMs)) * 24 * hourMs;
  const candidates = [0, 24].flatMap((day) => roundHours.map((hour) => midnight + (day + hour) * hourMs));
  return candidates.find((at) => at > shifted)! - sunOffsetH * hourMs;
}

/** Lives on to `t`, handing everything over on the way. */
export function passTime(world: World, t: EpochMs, intake: Intake): void {
  while (world.now() < t) {
    const next = Math.min(t, world.now() + handOverMs);
    intake.deliver(world.stepTo(next));
    intake.advanceTo(next);
  }
}

/** Farm days up to `until`: time passes, and at every round before `workUntil` the farmhand acts. */
export function liveDays(
  world: World,
  farmhand: Farmhand,
  intake: Intake,
  until: EpochMs,
  workUntil: EpochMs,
): void {
  const { sunOffsetH } = world.scenario.climate;
  for (;;) {
    const round = nextRound(world.now(), sunOffsetH);
    if (round > Math.min(until, workUntil)) break;
    passTime(world, round, intake);
    for (const act of farmhand.round()) {
      for (const event of act(world.now())) {
        world.apply(event);
        farmhand.notice(event);
        intake.record(event);
      }
      passTime(world, Math.min(until, world.now() + betweenActsMs), intake);
    }
  }
  passTime(world, until, intake);
}
