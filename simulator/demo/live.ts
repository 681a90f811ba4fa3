import type { BagEvent } from '../../shared/bags.ts';
import { type Clock, dayMs, hourMs, minuteMs } from '../../shared/time.ts';
import type { UnloadEvent } from '../../shared/unloads.ts';
import { nextRound } from '../farmhand/days.ts';
import type { Farmhand } from '../farmhand/farmhand.ts';
import { followUnload } from '../follow-unload.ts';
import type { SensorMessage } from '../sensor/sensor.ts';
import type { World } from '../world.ts';

export interface LiveIntake {
  clock: Clock;
  publish(message: SensorMessage): void;
  record(event: BagEvent): void;
  /** What `record` or `publish` threw; the demo goes on. */
  onError(error: unknown): void;
}

export interface LiveDemo {
  /** Lets truth follow what was recorded on the site, by the user or by the demo itself. */
  onBagEvent(event: BagEvent): void;
  /** Hot loads that were declared warm the simulated rooms. */
  onUnloadEvent(event: UnloadEvent): void;
  stop(): void;
}

const tickMs = 1_000;
/** After a longer stop (a machine that slept) what was sent meanwhile was missed: it is not sent late. */
const missedAfterMs = 5 * minuteMs;
const glanceEveryMs = 2 * hourMs;
/** While a user acts, the demo's own people only look; after this long alone they do the whole round. */
const aloneAfterMs = dayMs;
const actEveryMs = 60_000;
/** Between two bags that are worked out after a start; each takes a few milliseconds. */
const workOutEveryMs = 10;

/** Keeps a world going along with a clock. Acts come one a minute, never in a burst. */
export function goLive(world: World, farmhand: Farmhand, intake: LiveIntake): LiveDemo {
  const { clock } = intake;
  const { sunOffsetH } = world.scenario.climate;
  const own = new Set<string>();
  let userActedAt = clock.now();
  let nextGlanceAt = clock.now() + glanceEveryMs;
  let roundAt = nextRound(clock.now(), sunOffsetH);
  let toDo = [] as ReturnType<Farmhand['round']>;

  const guarded = (action: () => void) => {
    try {
      action();
    } catch (error) {
      intake.onError(error);
    }
  };

  const follow = (event: BagEvent) => {
    world.apply(event);
    farmhand.notice(event);
  };

  const tick = () => {
    const now = clock.now();
    if (now <= world.now()) return;
    if (now - world.now() > missedAfterMs) world.stepTo(now - tickMs);
    for (const message of world.stepTo(now)) guarded(() => intake.publish(message));
    if (now >= roundAt) {
      roundAt = nextRound(now, sunOffsetH);
      if (now - userActedAt > aloneAfterMs) toDo = farmhand.round();
    }
    if (now >= nextGlanceAt) {
      nextGlanceAt = now + glanceEveryMs;
      toDo.push(...farmhand.glance());
    }
  };

  const act = () => {
    for (const event of toDo.shift()?.(world.now()) ?? [])
      guarded(() => {
        own.add(event.id);
        follow(event);
        intake.record(event);
      });
  };

  const cancels = [clock.every(tickMs, () => guarded(tick)), clock.every(actEveryMs, () => guarded(act))];
  const workingOut = world.workOut();
  const cancelWorkingOut = clock.every(workOutEveryMs, () => {
    if (workingOut.next().done) cancelWorkingOut();
  });
  cancels.push(cancelWorkingOut);
  return {
    onBagEvent(event) {
      if (own.delete(event.id)) return;
      userActedAt = clock.now();
      follow(event);
    },
    onUnloadEvent: (event) => guarded(() => followUnload(world, event)),
    stop() {
      for (const cancel of cancels) cancel();
    },
  };
}
