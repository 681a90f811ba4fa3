import type { AlarmJournalEntry } from '../../shared/alarms.ts';
import type { BagEvent } from '../../shared/bags.ts';
import { dayMs, type EpochMs, hourMs } from '../../shared/time.ts';
import type { UnloadEvent } from '../../shared/unloads.ts';
import { daysInSteps, type Intake, nextRound } from '../farmhand/days.ts';
import { createFarmhand } from '../farmhand/farmhand.ts';
import { followUnload } from '../follow-unload.ts';
import { createRandom, seedOf } from '../random.ts';
import type { Scenario } from '../scenarios/scenario.ts';
import { leadInDays } from '../scenarios/weeks.ts';
import type { SensorMessage } from '../sensor/sensor.ts';
import { createWorld } from '../world.ts';
import { type ReportLine, reportOf } from './report.ts';
import type { ScaledClock } from './scaled-clock.ts';
import { watchWorld } from './watcher.ts';

export interface TrainingTimes {
  /** Where the run's clock starts: the shelves fill from here on. */
  leadInFrom: EpochMs;
  /** When the first sensor speaks. */
  heardFrom: EpochMs;
  startsAt: EpochMs;
  endsAt: EpochMs;
}

/** Of fewer a room does not learn enough of itself to be relied on. */
const heardDays = 6;

/** Times of a run of `week`: its Monday is the last one before `now`, and it begins at six in the morning. */
export function trainingTimes(week: Scenario, now: EpochMs): TrainingTimes {
  const offsetMs = week.climate.sunOffsetH * hourMs;
  const day = Math.floor((now + offsetMs) / dayMs);
  // 1970-01-01 was a Thursday: day 4 was the first Monday.
  const monday = (day - ((day - 4) % 7)) * dayMs - offsetMs;
  return {
    leadInFrom: monday - leadInDays * dayMs,
    heardFrom: monday - heardDays * dayMs,
    startsAt: monday + 6 * hourMs,
    endsAt: monday + week.days * dayMs,
  };
}

export interface TrainingRun {
  /**
   * Fills the shelves and brings clock and site to the start of the week, in steps of some milliseconds.
   * The clock must be paused and stand at `leadInFrom`.
   */
  prepare(): Generator<void>;
  /** From here on sensors speak as the clock runs; `setPaused(false)` on the clock sets it going. */
  start(): void;
  /** Truth follows what was recorded on the run's site, by whomever. */
  onBagEvent(event: BagEvent): void;
  onUnloadEvent(event: UnloadEvent): void;
  stop(): void;
  /** What happened so far and when it was seen, oldest first. */
  report(journal: readonly AlarmJournalEntry[]): ReportLine[];
}

const tickMs = 15_000;
const leadInSpacingS = 300;

/**
 * One training week on a site of its own. `deliver` and `record` hand over to that site only; nothing
 * here knows the farm. `onEnded` is called once, when the week is over.
 */
export function createTrainingRun(make: {
  week: Scenario;
  seed: number;
  times: TrainingTimes;
  clock: ScaledClock;
  deliver: (messages: readonly SensorMessage[]) => void;
  record: (event: BagEvent) => void;
  recordUnload: (event: UnloadEvent) => void;
  onEnded: () => void;
}): TrainingRun {
  const { week, seed, times, clock, deliver, record, recordUnload: unload } = make;
  const world = createWorld({ scenario: week, seed, startAt: times.leadInFrom });
  const random = createRandom(seedOf(seed, 'farmhand')).state();
  const farmhand = createFarmhand(world, { random, events: [], made: {}, acts: 0 });
  const watcher = watchWorld(world, times.startsAt);
  let cancel = () => {};
  let nextLookAt = nextRound(times.startsAt, week.climate.sunOffsetH);

  const act = (acts: ReturnType<typeof farmhand.glance>) => {
    for (const act of acts)
      for (const event of act(world.now())) {
        world.apply(event);
        farmhand.notice(event);
        record(event);
      }
  };

  const tick = () => {
    const now = Math.min(clock.now(), times.endsAt);
    deliver(world.stepTo(now));
    watcher.look();
    if (now >= nextLookAt) {
      nextLookAt = nextRound(now, week.climate.sunOffsetH);
      act(farmhand.glance());
    }
    if (now < times.endsAt) return;
    cancel();
    clock.setPaused(true);
    make.onEnded();
  };

  return {
    *prepare() {
      const unheard: Intake = { record, unload, deliver() {}, advanceTo: clock.advanceTo };
      const heard: Intake = { record, unload, deliver, advanceTo: clock.advanceTo };
      world.setLeastSpacing(3_600);
      yield* daysInSteps(world, farmhand, unheard, times.heardFrom, times.heardFrom);
      world.setLeastSpacing(leadInSpacingS);
      yield* daysInSteps(world, farmhand, heard, times.startsAt, times.startsAt);
      world.setLeastSpacing(0);
    },
    start() {
      cancel = clock.every(tickMs, tick);
    },
    onBagEvent(event) {
      world.apply(event);
      farmhand.notice(event);
    },
    onUnloadEvent: (event) => followUnload(world, event),
    stop: () => cancel(),
    report: (journal) => reportOf(watcher.happenings(), journal, world.farm),
  };
}
