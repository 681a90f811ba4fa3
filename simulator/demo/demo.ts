import { dayMs, type EpochMs, hourMs } from '../../shared/time.ts';
import { type Intake, liveDays, visitor } from '../farmhand/days.ts';
import { createFarmhand, type Farmhand, type FarmhandState } from '../farmhand/farmhand.ts';
import { createRandom, seedOf } from '../random.ts';
import type { RoomFault } from '../room/faults.ts';
import { fernhollowHistory, unheardDays } from '../scenarios/fernhollow.ts';
import { createWorld, restoreWorld, type World } from '../world.ts';
import type { WorldSnapshot } from '../world-snapshot.ts';
import { goLive, type LiveDemo, type LiveIntake } from './live.ts';

/** The demo put away as JSON: the next start goes on from here. */
export interface DemoSnapshot {
  world: WorldSnapshot;
  farmhand: FarmhandState;
}

export interface Demo {
  farmYaml: string;
  world: World;
  /** When the first reading of the history is due: where a clock for `makeHistory` starts. */
  heardFrom: EpochMs;
  /**
   * The three weeks up to `now`, handed over in order of time. The batches that stood before come first,
   * as events of up to ten days earlier. Sensors speak every `spacingS` seconds (default 240), those of a
   * room's air every 120 at the longest, so that the first start is quick.
   */
  makeHistory(intake: Intake, spacingS?: number): void;
  /**
   * The time since the snapshot: the farm went on, while what its sensors said was missed but for the
   * last two days, told thinly. Acts of people are recorded for the whole gap. After half a day or more
   * something is amiss again, so that there is an alarm to see.
   */
  catchUp(intake: Intake, until: EpochMs): void;
  /** Runs along with `clock`: sensors publish, and now and then somebody looks at a batch. */
  live(intake: LiveIntake): LiveDemo;
  snapshot(): DemoSnapshot;
}

const historySpacingS = 240;
/** Room air told more seldom than this shows nothing of what a cooler does, and its signal would teach nothing. */
const roomAirSpacingS = 120;
const toldOfGapMs = 2 * dayMs;
/** The last hours before anyone looks are left alone: what is due then is for them. */
const leaveAloneMs = 3 * hourMs;

const slippedAgain = (hours: number): RoomFault => ({
  room: 'warm',
  what: 'thermostat-reads',
  offK: -5.4,
  fromH: hours - 2.5,
  toH: hours + 3,
  text: "The thermostat's sensor in the Warm room slipped off again",
});

const tellThinly = (world: World, spacingS: number): void =>
  world.setLeastSpacing(spacingS, Math.min(spacingS, roomAirSpacingS));

/** Days with their rounds, a last look at the alarms, and the hours that are left alone, told no more thinly than a history. */
function upToAlone(world: World, farmhand: Farmhand, intake: Intake, until: EpochMs, spacingS: number): void {
  tellThinly(world, spacingS);
  const aloneFrom = until - leaveAloneMs;
  if (aloneFrom > world.now()) {
    liveDays(world, farmhand, intake, aloneFrom, aloneFrom);
    intake.visit?.(visitor);
  }
  tellThinly(world, Math.min(spacingS, historySpacingS));
  liveDays(world, farmhand, intake, until, aloneFrom);
  world.setLeastSpacing(0);
}

const demoOf = (world: World, farmhand: Farmhand, endOfHistory: EpochMs): Demo => ({
  farmYaml: world.scenario.farmYaml,
  world,
  heardFrom: world.startAt + unheardDays * dayMs,
  makeHistory(intake, spacingS = historySpacingS) {
    const heardFrom = world.startAt + unheardDays * dayMs;
    world.setLeastSpacing(3_600);
    const unheard: Intake = { record: intake.record, deliver() {}, advanceTo() {} };
    liveDays(world, farmhand, unheard, heardFrom, heardFrom);
    upToAlone(world, farmhand, intake, endOfHistory, spacingS);
  },
  catchUp(intake, until) {
    const gap = until - world.now();
    if (gap > 12 * hourMs) world.addFault(slippedAgain((until - world.startAt) / hourMs));
    const told: Intake = {
      ...intake,
      deliver: (messages) => intake.deliver(messages.filter(({ t }) => t >= until - toldOfGapMs)),
    };
    upToAlone(world, farmhand, told, until, gap > 6 * hourMs ? 900 : 120);
  },
  live: (intake) => goLive(world, farmhand, intake),
  snapshot: () => ({ world: world.snapshot(), farmhand: farmhand.save() }),
});

/** Fernhollow with its history still to be made; `now` is where the history ends. */
export function createDemo({ seed, now }: { seed: number; now: EpochMs }): Demo {
  const startAt = now - fernhollowHistory.days * dayMs;
  const world = createWorld({ scenario: fernhollowHistory, seed, startAt });
  const random = createRandom(seedOf(seed, 'farmhand')).state();
  const farmhand = createFarmhand(world, { random, events: [], made: {}, acts: 0 });
  return demoOf(world, farmhand, now);
}

/** Fernhollow as it was put away. Throws AppError 'conflict' when the snapshot is of another form. */
export function resumeDemo(snapshot: DemoSnapshot): Demo {
  const world = restoreWorld(fernhollowHistory, snapshot.world);
  return demoOf(world, createFarmhand(world, snapshot.farmhand), world.now());
}
