import type { Database } from 'better-sqlite3';
import { createNoMailer } from '../alerts/delivery/mailer.ts';
import type { BagEvent } from '../shared/bags.ts';
import { AppError, messageOf } from '../shared/errors.ts';
import { buildFarm, type Farm } from '../shared/farm/farm.ts';
import { builtInSpecies } from '../shared/growth/species.ts';
import { createManualClock } from '../shared/manual-clock.ts';
import { type Cancel, type Clock, dayMs, type EpochMs, minuteMs } from '../shared/time.ts';
import type { UnloadEvent } from '../shared/unloads.ts';
import { createDemo, type Demo, type DemoSnapshot, resumeDemo } from '../simulator/demo/demo.ts';
import { createPublisher } from '../simulator/demo/publisher.ts';
import { fernhollowFarmYaml } from '../simulator/scenarios/fernhollow-farm.ts';
import { createInProcessTransport } from './intake/in-process-transport.ts';
import { type Log, openSite, type Site } from './site.ts';
import { createSnapshotFile } from './snapshot-file.ts';

/** The demo farm's file, for commands that work on what it recorded. */
export const fernhollowYaml = fernhollowFarmYaml;

/** Fixed, so that every first start shows the same farm. */
const demoSeed = 7;
/** The longest that a sensor is quiet in the history that is made. */
const historyEveryS = 900;

interface DemoPlaces {
  snapshotPath: string;
  now: EpochMs;
  log: Log;
  /** Another farm of the same kind, for studies; leave it out for the one that everybody sees. */
  seed?: number;
}

/**
 * The demo farm as it was put away at the last stop, or a new one whose three weeks are still to be made.
 * A snapshot that cannot be used is left out of account; the farm then begins anew.
 */
export function openDemo({ snapshotPath, now, log, seed = demoSeed }: DemoPlaces) {
  const file = createSnapshotFile<DemoSnapshot>(snapshotPath);
  const kept = file.read();
  let demo: Demo | undefined;
  if (kept !== undefined)
    try {
      demo = resumeDemo(kept);
    } catch (thrown) {
      log('warn', `The demo begins anew: ${messageOf(thrown)}`);
    }
  const isNew = demo === undefined;
  const farmDemo = demo ?? createDemo({ seed, now });
  const save = () => {
    try {
      file.write(farmDemo.snapshot());
    } catch (thrown) {
      log('warn', `The demo could not be put away, and would begin anew: ${messageOf(thrown)}`);
    }
  };

  return {
    farmYaml: farmDemo.farmYaml,
    isNew,
    /** Puts what happened up to now through the same intake, alarms and bag book as what comes live. */
    async makeHistory(farm: Farm, database: Database): Promise<void> {
      const startAt = isNew ? farmDemo.heardFrom : farmDemo.world.now();
      await throughTheSite({ farm, database, startAt, log }, (intake) => {
        if (isNew) farmDemo.makeHistory(intake);
        else farmDemo.catchUp(intake, now);
      });
      // At once: a history that was made is never to be made again, however soon the process ends.
      save();
    },
    /** Sensors publish to the broker at `url`, as any real ones would. */
    goLive({ site, url, clock }: { site: Site; url: string; clock: Clock }) {
      const onError = (thrown: unknown) => log('warn', `Demo: ${messageOf(thrown)}`);
      const publisher = createPublisher(url, onError);
      const live = farmDemo.live({ clock, publish: publisher.publish, record: site.desk.record, onError });
      const cancelSaving: Cancel = clock.every(minuteMs, save);
      return {
        onBagEvent: (event: BagEvent) => live.onBagEvent(event),
        onUnloadEvent: (event: UnloadEvent) => live.onUnloadEvent(event),
        async stop(): Promise<void> {
          cancelSaving();
          live.stop();
          save();
          await publisher.close();
        },
      };
    },
  };
}

type HistoryIntake = Parameters<Demo['makeHistory']>[0];

/** The farm while its past is made: sensors speak more seldom, which is no silence, and nobody is paged. */
export function slowSensors({ file }: Farm): Farm {
  const sensors = file.sensors.map((sensor) => ({
    ...sensor,
    everyS: Math.max(sensor.everyS, historyEveryS),
  }));
  return buildFarm({ ...file, sensors, notify: [] }, builtInSpecies);
}

/** A site on a clock that is turned by hand, so that weeks pass in seconds. */
async function throughTheSite(
  { farm, database, startAt, log }: { farm: Farm; database: Database; startAt: EpochMs; log: Log },
  live: (intake: HistoryIntake) => void,
): Promise<void> {
  const clock = createManualClock(startAt);
  const site = openSite({
    kind: 'demo',
    farm: slowSensors(farm),
    clock,
    pace: clock,
    transport: createInProcessTransport({ clock }),
    database,
    mailer: createNoMailer(),
    forecasts: null,
    tickMs: minuteMs,
    log,
  });
  const safety = database.pragma('synchronous', { simple: true });
  // Made again from the seed if the power fails meanwhile, so there is nothing to protect.
  database.pragma('synchronous = OFF');
  try {
    await site.start();
    // One commit a day: the pages that every ten minutes touch again are written once.
    let commitAt = startAt;
    database.exec('BEGIN');
    live({
      deliver: site.takeIn,
      record: site.recordPast,
      unload: site.desk.unloads.record,
      visit: site.acknowledgeRinging,
      advanceTo(t) {
        if (t > clock.now()) clock.advanceTo(t);
        if (t < commitAt) return;
        commitAt = t + dayMs;
        database.exec('COMMIT');
        site.readings.book.refresh();
        database.exec('BEGIN');
      },
    });
    database.exec('COMMIT');
    await site.close();
  } catch (thrown) {
    if (database.inTransaction) database.exec('ROLLBACK');
    throw new AppError('store', `The demo's history could not be made: ${messageOf(thrown)}`, {
      cause: thrown,
    });
  } finally {
    database.pragma(`synchronous = ${safety}`);
    database.pragma('wal_checkpoint(TRUNCATE)');
  }
}
