import { basename, join, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import { cronSchedule } from '../alerts/delivery/cron.ts';
import { createMailer, createNoMailer } from '../alerts/delivery/mailer.ts';
import { createRenewableMailer } from '../alerts/delivery/renewable-mailer.ts';
import { createWebhooks } from '../alerts/delivery/webhook.ts';
import { alertMigrations } from '../alerts/migrations.ts';
import { createDoors } from '../dashboard/server/doors/doors.ts';
import { doorMigrations } from '../dashboard/server/doors/migrations.ts';
import { newCode } from '../dashboard/server/doors/secrets.ts';
import { isLoopback, listenOn } from '../dashboard/server/listen.ts';
import { renewTls } from '../dashboard/server/renew-tls.ts';
import { createServer } from '../dashboard/server/server.ts';
import type { BagEvent } from '../shared/bags.ts';
import { AppError } from '../shared/errors.ts';
import type { Farm } from '../shared/farm/farm.ts';
import { builtInSpecies } from '../shared/growth/species.ts';
import type { PartHealth } from '../shared/live.ts';
import type { Mailer } from '../shared/ports.ts';
import type { Cancel } from '../shared/time.ts';
import type { UnloadEvent } from '../shared/unloads.ts';
import { bagMigrations } from './bags/migrations.ts';
import { readCertificate } from './certificate.ts';
import { readFarmFile } from './commands/check.ts';
import { type Command, text } from './commands/command.ts';
import { databaseName, defaultDataFolder, openDataFolder } from './data-folder.ts';
import { openDemo } from './demo.ts';
import { openDemoFarmFile } from './demo-farm-file.ts';
import { awaitsRestart } from './farm/awaits-restart.ts';
import { createFarmEdits } from './farm/farm-edits.ts';
import { watchFarmFile } from './farm/watch.ts';
import { readInfluxToken } from './influx/access.ts';
import { connectInflux } from './influx/connection.ts';
import { createForwarder } from './influx/forwarder.ts';
import { influxMigrations } from './influx/migrations.ts';
import { chooseTransport } from './intake/choose-transport.ts';
import type { EmbeddedBroker } from './intake/embedded-broker.ts';
import { keepCertificates } from './keep-certificates.ts';
import { learnApart } from './learning/learn-apart.ts';
import { learningMigrations } from './learning/migrations.ts';
import { readLinkKey } from './link-key.ts';
import { watchDisk } from './live/disk-space.ts';
import { createLogger } from './logger.ts';
import { readMailAccess } from './mail-access.ts';
import { roomMigrations } from './rooms/migrations.ts';
import { screenNames } from './screen-names.ts';
import { type Log, openSite } from './site.ts';
import { createFollower } from './store/follower.ts';
import { storeMigrations } from './store/migrations.ts';
import { openDatabase } from './store/open-database.ts';
import { createRetention } from './store/retention.ts';
import { startUpkeep } from './store/upkeep.ts';
import { systemClock } from './system-clock.ts';
import { createPersonTeller } from './tell-person.ts';
import { createTrainingDesk } from './training.ts';
import { unloadMigrations } from './unloads/migrations.ts';
import { readWebhookAccess } from './webhook-access.ts';

export const migrations = [
  ...storeMigrations,
  ...bagMigrations,
  ...influxMigrations,
  ...alertMigrations,
  ...doorMigrations,
  ...learningMigrations,
  ...unloadMigrations,
  ...roomMigrations,
];

export interface RunOptions {
  /** Path of a farm file; the demo farm without one. */
  farmPath: string | undefined;
  dataFolder: string | undefined;
  host: string;
  port: number;
  /** Address of a broker, instead of what the farm file says. */
  brokerUrl: string | undefined;
}

/** Built screens: beside the compiled collector, or in dist/ when run from the sources. */
const here = fileURLToPath(new URL('.', import.meta.url));
const webRoot = resolve(here, here.includes('/dist/') ? '../web' : '../dist/web');

function chooseMailer(farm: Farm): Mailer {
  const { mail } = farm.file;
  return mail === undefined
    ? createNoMailer()
    : createMailer({ ...mail, ...readMailAccess(mail, process.env) }, systemClock);
}

/** Wires a whole collector together and starts it; answers with where to look and how to stop it. */
export async function openCollector(options: RunOptions) {
  const logger = createLogger(process.env.SHELFWARDEN_LOG ?? 'warn');
  const log: Log = (level, words, error) => logger[level](error === undefined ? {} : { err: error }, words);
  const clock = systemClock;
  const isDemo = options.farmPath === undefined;

  const given =
    options.farmPath === undefined
      ? undefined
      : { path: options.farmPath, ...readFarmFile(options.farmPath) };
  const dataFolder = openDataFolder(
    options.dataFolder ?? defaultDataFolder(given === undefined ? 'demo' : given.farm.file.site.id),
  );
  const demo = isDemo
    ? openDemo({ snapshotPath: join(dataFolder, 'demo.json'), now: clock.now(), log })
    : undefined;
  const farmFile = given ?? openDemoFarmFile(dataFolder, demo!.farmYaml, demo!.isNew);
  const { farm } = farmFile;
  let runningText = farmFile.text;
  const { synchronous } = farm.file.store;
  const database = openDatabase({ file: join(dataFolder, databaseName), synchronous, migrations, clock });
  const closers: (() => unknown)[] = [() => database.close()];
  const close = async () => {
    for (const step of closers.splice(0).reverse()) await step();
  };

  try {
    await demo?.makeHistory(farm, database);
    let broker: EmbeddedBroker | undefined;
    const doors = createDoors({
      database,
      clock,
      open: isDemo,
      setUpCode: newCode(),
      brokerAt: () => broker && { ...broker.address(), tls: broker.tls },
      alarmTopics: alarmTopicsOf(farm),
      onAccess: (news) => tellPerson(news),
    });
    const transport = chooseTransport({
      farm,
      brokerUrl: options.brokerUrl,
      // The demo's sensors connect as anybody, on this machine alone.
      door: isDemo ? undefined : doors.devices.door,
      alarmTopics: alarmTopicsOf(farm),
      clock,
      log,
    });
    if ('address' in transport) broker = transport;
    let running = farm;
    const mailer = createRenewableMailer(chooseMailer(farm));
    const tellPerson = createPersonTeller({
      farm: () => running,
      mailer,
      onProblem: (words, thrown) => log('warn', words, thrown),
    });
    let onBagEvent: (event: BagEvent) => void = () => {};
    let onUnloadEvent: (event: UnloadEvent) => void = () => {};
    const site = openSite({
      kind: isDemo ? 'demo' : 'farm',
      farm,
      clock,
      pace: clock,
      transport,
      database,
      mailer,
      outward: {
        webhooks: createWebhooks({
          target(id) {
            const settings = running.file.webhooks.find((webhook) => webhook.id === id);
            return settings && readWebhookAccess(settings, process.env);
          },
          privateHosts: () => running.file.privateHosts,
          clock,
        }),
        linkKey: readLinkKey(dataFolder),
        schedule: cronSchedule,
      },
      forecasts: { inThread: true },
      edits: createFarmEdits({
        name: basename(farmFile.path),
        path: farmFile.path,
        builtInSpecies,
        text: () => runningText,
        apply: (next, words) => takeOver(next, words),
      }),
      onBagEvent: (event) => onBagEvent(event),
      onUnloadEvent: (event) => onUnloadEvent(event),
      log,
    });
    const takeOver = (next: Farm, words: string) => {
      if (words === runningText) return;
      // First, since it may find that a password is missing: then the farm stays as it is.
      const { mail } = running.file;
      const nextMailer = JSON.stringify(mail) === JSON.stringify(next.file.mail) ? null : chooseMailer(next);
      site.setFarm(next);
      if (nextMailer !== null) mailer.renew(nextMailer);
      running = next;
      runningText = words;
      site.board.notice('restart', awaitsRestart(farm.file, next.file));
    };
    closers.push(() => site.close());
    await site.start();
    closers.push(
      learnApart({
        file: join(dataFolder, databaseName),
        database,
        farm,
        now: clock.now(),
        onLearned: (count) => {
          site.relearn();
          log('info', `Learned from ${count} finished batches`);
        },
        onProblem: (thrown) => log('error', 'Finished batches of the past could not be learned from', thrown),
      }),
    );

    const health = ({ part, state, text: words }: PartHealth) => site.report(part, state, words);
    const { influx, store, screens } = farm.file;
    if (influx !== undefined) {
      const forwarder = createForwarder({
        site: farm.file.site.id,
        database,
        follower: createFollower(database, site.readings),
        connection: connectInflux(influx, readInfluxToken(influx, process.env)),
        clock,
        onHealth: health,
      });
      closers.push(() => forwarder.stop());
      forwarder.start();
    }
    const upkeep = startUpkeep({
      file: join(dataFolder, databaseName),
      backupFolder: store.backupFolder ?? join(dataFolder, 'backups'),
      retention: createRetention({
        database,
        log: site.readings,
        clock,
        rawDays: store.rawDays,
        forwarding: influx !== undefined,
      }),
      clock,
      timeZone: farm.file.site.timeZone,
      onHealth: health,
    });
    closers.push(() => upkeep.stop());
    const disk = watchDisk({
      folder: dataFolder,
      clock,
      onHealth: (state, words) => site.report('disk', state, words),
    });
    closers.push(() => disk.stop());

    const training = createTrainingDesk({ pace: clock, migrations, log });
    closers.push(() => training.stop());
    const kind = isDemo ? 'demo' : 'farm';
    const certificate = screens.tls && readCertificate(screens.tls, 'the screens');
    const server = createServer({
      sites: { live: site.desk, training },
      doors,
      webRoot,
      clock,
      log: logger,
      kind,
      hostNames: screenNames(farm, options.host, isLoopback(options.host)),
      tls: certificate,
      trustedProxies: screens.trustedProxies,
    });
    closers.push(() => server.close());
    closers.push(
      keepCertificates(
        [
          { files: screens.tls, whose: 'the screens', onCertificate: (next) => renewTls(server, next) },
          {
            files: broker && certificateOfBroker(farm),
            whose: 'the built-in broker',
            onCertificate: (next) => broker?.renew(next),
          },
        ],
        { clock, notice: site.board.notice },
      ),
    );
    const listening = await listenOn(server, {
      host: options.host,
      port: options.port,
      closedToStrangers: !isDemo && doors.people.isSetUp(),
    });

    if (demo !== undefined) {
      const url = broker === undefined ? options.brokerUrl! : brokerUrlOf(broker);
      const live = demo.goLive({ site, url, clock });
      ({ onBagEvent, onUnloadEvent } = live);
      closers.push(() => live.stop());
    }
    const watching: { stop: Cancel } = watchFarmFile({
      path: farmFile.path,
      text: farmFile.text,
      clock,
      builtInSpecies,
      onFarm: takeOver,
      onNotice: (words) => site.board.notice('farm-file', words ?? null),
    });
    closers.push(watching.stop);
    const setUpCode = isDemo || doors.people.isSetUp() ? null : doors.setUpCode;
    return { ...listening, farm, dataFolder, transport, setUpCode, close };
  } catch (thrown) {
    await close();
    throw thrown;
  }
}

const certificateOfBroker = ({ file: { broker } }: Farm) =>
  broker !== undefined && 'embedded' in broker ? broker.embedded.tls : undefined;

/** Where a light or a horn listens; states of alarms are published below. */
const alarmTopicsOf = ({ file }: Farm): string =>
  file.announce === undefined || file.announce === false
    ? `shelfwarden/${file.site.id}`
    : file.announce.topic;

const brokerUrlOf = (broker: EmbeddedBroker): string => {
  const { host, port } = broker.address();
  return `mqtt://${host}:${port}`;
};

function portOf(words: string): number {
  const port = Number(words);
  if (!Number.isInteger(port) || port < 0 || port > 65_535)
    throw new AppError('bad-request', `--port ${words} is no port: give a whole number from 0 to 65535.`);
  return port;
}

/** Resolves at Ctrl-C or when the system asks the process to end. */
const untilAskedToEnd = (): Promise<void> =>
  new Promise((asked) => {
    for (const signal of ['SIGINT', 'SIGTERM'] as const) process.once(signal, () => asked());
  });

export const runCommand: Command = {
  name: 'run',
  summary: 'watch a farm, or the demo farm, and serve the screens (the default)',
  help: `shelfwarden run [options]

  --farm FILE      farm file to run; without one, the demo farm Fernhollow with simulated sensors
  --data FOLDER    where readings and bags are kept (default: shelfwarden/<site> in the user's data folder)
  --host ADDRESS   address to serve the screens on (default 127.0.0.1; others once somebody is set up)
  --port NUMBER    port of the screens (default 8420; moves to the next free one when busy)
  --broker URL     mqtt:// or mqtts:// broker, instead of what the farm file says
  --help           this text

Ctrl-C ends it. Shelfwarden advises; it is not a safety system.`,
  options: {
    farm: { type: 'string' },
    data: { type: 'string' },
    host: { type: 'string', default: '127.0.0.1' },
    port: { type: 'string', default: '8420' },
    broker: { type: 'string' },
  },
  async run(values, positionals) {
    if (positionals.length > 0)
      throw new AppError('bad-request', `run takes no '${positionals[0]}'; name a farm file with --farm.`);
    const collector = await openCollector({
      farmPath: text(values, 'farm'),
      dataFolder: text(values, 'data'),
      host: text(values, 'host')!,
      port: portOf(text(values, 'port')!),
      brokerUrl: text(values, 'broker'),
    });
    if (collector.movedFrom !== null)
      console.log(`Port ${collector.movedFrom} is busy, so the screens are on ${collector.port}.`);
    console.log(`${collector.farm.file.site.name}: open ${collector.url}`);
    console.log(
      `Readings: ${collector.transport.status().text}. Data: ${collector.dataFolder}. Ctrl-C ends it.`,
    );
    if (collector.setUpCode !== null)
      console.log(`Nobody is set up yet: open the address to begin. Code, if asked: ${collector.setUpCode}`);
    console.log('Advice, not a safety system; local codes come first.');
    await untilAskedToEnd();
    await collector.close();
    return 0;
  },
};
