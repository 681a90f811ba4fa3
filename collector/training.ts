import { createNoMailer } from '../alerts/delivery/mailer.ts';
import type { BagEvent } from '../shared/bags.ts';
import { AppError, messageOf } from '../shared/errors.ts';
import { buildFarm, type Farm } from '../shared/farm/farm.ts';
import { builtInSpecies } from '../shared/growth/species.ts';
import type { RunState } from '../shared/live.ts';
import type { Migration, TrainingDesk } from '../shared/ports.ts';
import type { Clock } from '../shared/time.ts';
import { farmOf } from '../simulator/scenarios/scenario.ts';
import { trainingWeeks } from '../simulator/scenarios/weeks.ts';
import { inSlices } from '../simulator/training/in-slices.ts';
import { createTrainingRun, trainingTimes } from '../simulator/training/run.ts';
import { createScaledClock } from '../simulator/training/scaled-clock.ts';
import { slowSensors } from './demo.ts';
import { createFarmEdits } from './farm/farm-edits.ts';
import { createInProcessTransport } from './intake/in-process-transport.ts';
import { type Log, openSite } from './site.ts';
import { openDatabase } from './store/open-database.ts';

const seed = 11;
/** Sensors of a week speak each minute, so looking for silence more often than this finds nothing sooner. */
const tickMs = 15_000;
const mostSpeed = 500;

interface TrainingParts {
  /** Real time, which the run's own clock is a multiple of. */
  pace: Clock;
  migrations: readonly Migration[];
  log: Log;
}

/** One run: a site of its own on a scaled clock, in memory, with a mailer that cannot send. */
async function openRun(
  { pace, migrations, log }: TrainingParts,
  weekId: string,
  speed: number,
  calledOff: () => boolean,
) {
  const week = trainingWeeks.find(({ id }) => id === weekId);
  if (week === undefined)
    throw new AppError(
      'not-found',
      `There is no training week '${weekId}'; there are: ${trainingWeeks.map(({ id }) => id).join(', ')}.`,
    );
  const times = trainingTimes(week, pace.now());
  const onError = (thrown: unknown) => log('error', 'Training run', thrown);
  const clock = createScaledClock({ base: pace, startAt: times.leadInFrom, speed, paused: true, onError });
  const farm: Farm = buildFarm(farmOf(week), builtInSpecies);
  const database = openDatabase({ file: ':memory:', migrations, clock });
  let ended = false;
  const runState = (): RunState => ({
    week: week.id,
    speed: clock.speed(),
    paused: clock.paused(),
    startedAt: times.startsAt,
    endsAt: times.endsAt,
    ended,
  });

  const own = new Set<string>();
  const site = openSite({
    kind: 'training',
    // The weeks before are told thinly, which is no silence.
    farm: slowSensors(farm),
    clock,
    pace,
    transport: createInProcessTransport({ clock }),
    database,
    mailer: createNoMailer(),
    forecasts: { inThread: true },
    pastFirst: true,
    tickMs,
    run: runState,
    // Limits can be tried on the run's past; the run itself keeps its own.
    edits: createFarmEdits({
      name: `${week.id}.yaml`,
      path: null,
      builtInSpecies,
      text: () => week.farmYaml,
      apply() {},
    }),
    onBagEvent: (event: BagEvent) => {
      if (!own.delete(event.id)) run.onBagEvent(event);
    },
    onUnloadEvent: (event) => run.onUnloadEvent(event),
    log,
  });
  const run = createTrainingRun({
    week,
    seed,
    times,
    clock,
    deliver: site.takeIn,
    record: (event) => {
      own.add(event.id);
      site.desk.record(event);
    },
    recordUnload: site.desk.unloads.record,
    onEnded: () => {
      ended = true;
      site.runChanged();
    },
  });

  const close = async (): Promise<void> => {
    run.stop();
    clock.stop();
    await site.close();
    database.close();
  };
  try {
    await site.start();
    await inSlices(run.prepare(), pace, () => {
      if (calledOff()) throw new AppError('conflict', 'The run was ended before it had begun.');
    });
    await site.learnRooms();
  } catch (thrown) {
    await close();
    throw thrown;
  }
  site.acknowledgeRinging('before the run');
  site.setFarm(farm);
  run.start();
  clock.setPaused(false);

  return {
    desk: site.desk,
    setSpeed(next: number): void {
      clock.setSpeed(next);
      site.runChanged();
    },
    setPaused(paused: boolean): void {
      if (ended && !paused) throw new AppError('conflict', 'The week is over; start another run.');
      clock.setPaused(paused);
      site.runChanged();
    },
    report: () => run.report(site.desk.alarmJournal({ from: times.startsAt, limit: 10_000 })),
    close,
  };
}

/** Training runs beside the farm, at most one at a time. Nothing of a run reaches the farm's records or people. */
export function createTrainingDesk(parts: TrainingParts): TrainingDesk {
  let open: Awaited<ReturnType<typeof openRun>> | undefined;
  let opening: Promise<unknown> | undefined;
  let calledOff = false;
  const running = () => {
    if (open === undefined)
      throw new AppError('not-found', 'No training run is open; choose a week and start one.');
    return open;
  };
  const closeOpen = async (): Promise<void> => {
    const ending = open;
    open = undefined;
    await ending?.close();
  };
  const begin = async (week: string, speed: number): Promise<void> => {
    await closeOpen();
    open = await openRun(parts, week, speed, () => calledOff);
  };

  return {
    weeks: () => trainingWeeks.map(({ id, name, text, days }) => ({ id, name, text, days })),
    async start(week, speed) {
      if (opening !== undefined)
        throw new AppError('conflict', 'A training run is just being prepared; wait a moment.');
      if (!(speed >= 1 && speed <= mostSpeed))
        throw new AppError(
          'out-of-range',
          `A speed of ${speed} is not possible: choose 1 to ${mostSpeed} times.`,
        );
      calledOff = false;
      opening = begin(week, speed);
      try {
        await opening;
      } catch (thrown) {
        if (thrown instanceof AppError) throw thrown;
        throw new AppError('unavailable', `The run could not be started: ${messageOf(thrown)}`, {
          cause: thrown,
        });
      } finally {
        opening = undefined;
      }
    },
    setSpeed: (speed) => running().setSpeed(speed),
    setPaused: (paused) => running().setPaused(paused),
    async stop(): Promise<void> {
      calledOff = true;
      await opening?.catch(() => {});
      await closeOpen();
    },
    site: () => open?.desk,
    report: () => running().report(),
  };
}
