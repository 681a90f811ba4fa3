import { setImmediate as nextTurn } from 'node:timers/promises';
import type { Database } from 'better-sqlite3';
import { createAlarmDesk, type Outward } from '../alerts/alarm-desk.ts';
import { titlesAgainstCooling } from '../alerts/definitions/unloads.ts';
import { createTuningDesk } from '../alerts/tuning/tuning-desk.ts';
import type { BagEvent } from '../shared/bags.ts';
import type { BatchState } from '../shared/batches.ts';
import { AppError } from '../shared/errors.ts';
import type { Farm } from '../shared/farm/farm.ts';
import type { CohortForecast } from '../shared/forecasts.ts';
import type { PartHealth, RunState, SiteKind } from '../shared/live.ts';
import type { FarmEdits, Mailer, SiteDesk, Transport, TransportStatus } from '../shared/ports.ts';
import type { ReadingsHistory } from '../shared/readings.ts';
import { type Cancel, type Clock, type EpochMs, minuteMs, secondMs } from '../shared/time.ts';
import { today } from '../shared/today.ts';
import type { UnloadEvent } from '../shared/unloads.ts';
import { createBagBook } from './bags/bag-book.ts';
import { noEdits } from './farm/farm-edits.ts';
import { speciesViews } from './farm/species-view.ts';
import { farmView } from './farm/view.ts';
import { createIntake } from './intake/intake.ts';
import { strainPageOf } from './learning/strain-page.ts';
import { bagsAtStake, courseOf } from './live/bags-at-stake.ts';
import { createChangeFeed } from './live/change-feed.ts';
import { createHealthBoard } from './live/health-board.ts';
import { createSiteMetrics } from './live/metrics.ts';
import { isAdvised } from './live/part-advice.ts';
import { createPartAlarms } from './live/part-alarms.ts';
import { recallValues } from './live/recall-values.ts';
import { createToldValues } from './live/told-values.ts';
import { createSiteForecasts } from './site-forecasts.ts';
import { createSiteUnloads } from './site-unloads.ts';
import { createDerivedHistory } from './store/derived-history.ts';
import { createHeldHistory } from './store/held-history.ts';
import { createStoreHistory } from './store/history.ts';
import { createJudgedStore } from './store/judged-store.ts';
import { keepSettled } from './store/keep-settled.ts';
import { createReadingsLog } from './store/readings-log.ts';

export type Log = (level: 'info' | 'warn' | 'error', text: string, error?: unknown) => void;

export interface SiteParts {
  kind: SiteKind;
  farm: Farm;
  /** The site's own time; scaled in a training run. */
  clock: Clock;
  /** Real time, for the pace at which screens are told. */
  pace: Clock;
  transport: Transport;
  /** Opened with the migrations of every part. */
  database: Database;
  mailer: Mailer;
  /** Ways out of the house besides email; only a live site has them. */
  outward?: Outward;
  /** Null for a site that only takes history in. */
  forecasts: { inThread: boolean } | null;
  /** A past is made after the start: rooms are learned once it is there, when `learnRooms` is called. */
  pastFirst?: boolean;
  /** How often time-driven alarms are looked at, ms of the site's clock; each second unless history is made. */
  tickMs?: number;
  /** Long history from elsewhere; the site's own store otherwise. */
  history?: ReadingsHistory;
  run?: () => RunState;
  /** Changes limits in the farm file; without it the farm stays as it is. */
  edits?: FarmEdits;
  /** Told every bag event that was stored, after the commit. */
  onBagEvent?: (event: BagEvent) => void;
  /** Told what happened to hot loads: a farm that is simulated warms its rooms by them. */
  onUnloadEvent?: (event: UnloadEvent) => void;
  log: Log;
}

/** Least time between two tellings of how deliveries stand, ms. */
const deliveriesGapMs = 200;

/**
 * Builds a whole site: intake, store, forecasts, alarms and delivery, on the clock, transport, database
 * and mailer given. The farm, the demo and a training run are each one call. Nothing runs until `start`.
 */
export function openSite(parts: SiteParts) {
  const { kind, clock, pace, transport, database, mailer, log } = parts;
  let farm = parts.farm;
  let farmVersion = 1;
  const forecasts = new Map<string, CohortForecast>();
  /** How far the chain from reading to message has come, for the sign of life. */
  let storedSoFar = 0;
  let evaluations = 0;
  const cancels: Cancel[] = [];

  const feed = createChangeFeed({
    clock,
    pace,
    alarms: () => alarms.views(),
    onListenerError: (thrown) => log('error', 'A screen could not be told', thrown),
  });
  const board = createHealthBoard({
    clock,
    onParts: (list) => feed.change({ parts: list }),
    onNotices: (notices) => feed.change({ notices }),
  });
  const readings = createReadingsLog(database);
  const ownHistory = createStoreHistory(database);
  const history = parts.history ?? ownHistory;
  const bags = createBagBook({ database, farm: () => farm, clock });

  const onProblem = (text: string, thrown: unknown) => log('error', text, thrown);

  const unloads = createSiteUnloads({
    ...{ database, clock, farm: () => farm, history: ownHistory, onProblem },
    ...{ bags, batches: () => standing() },
    forecasts: () => forecasts.values(),
    liveValue: (channel) => intake.live.value(channel),
    alarms: (room) => titlesAgainstCooling(alarms.views(), room),
    forecasting: parts.forecasts && {
      inThread: parts.forecasts.inThread,
      shelfAir: (question) => desk.shelfAir(question),
      setComing: (coming) => forecasting?.setComing(coming),
      setDepartures: (departures) => forecasting?.setDepartures(departures),
      beliefs: () => forecasting?.beliefs() ?? { strains: [], people: [] },
    },
    follows: parts.tickMs === undefined || parts.forecasts !== null,
    learns: parts.pastFirst !== true,
    onChange: () => feed.heard() && feed.change({ unloads: unloads.live() }),
    onRecorded(event) {
      if (feed.heard()) feed.change({ channels: told.ofProbes() });
      parts.onUnloadEvent?.(event);
    },
  });

  const partAlarms = createPartAlarms({ clock, tell: (part, alarm) => alarms.system(part, alarm) });
  /** How a part of the tool is: on the health page, and an alarm when it fails. */
  const report = (part: string, state: PartHealth['state'], text: string) => {
    board.report(part, state, text);
    if (isAdvised(part)) partAlarms.report(part, state, text);
  };

  /** Deliveries come in bursts: screens are told of them together. */
  let cancelTelling: Cancel | undefined;
  const tellDeliveries = () => {
    if (cancelTelling !== undefined || !feed.heard()) return;
    cancelTelling = pace.after(deliveriesGapMs, () => {
      cancelTelling = undefined;
      feed.alarmsMoved();
    });
  };
  const alarmDesk = createAlarmDesk({
    ...{ database, farm, clock, mailer, transport },
    outward: parts.outward ?? null,
    roundMs: parts.tickMs && 30 * parts.tickMs,
    bags: () => (forecasts.size > 0 || standing().length === 0 ? forecasts.values() : null),
    unloads: () => unloads.watched(),
    rooms: unloads.known,
    progress: () => ({ intake: storedSoFar, evaluation: evaluations }),
    digestContent() {
      const view = farmView(farm, farmVersion);
      const silent = view.channels.filter(({ id }) => told.value(id)?.silent);
      return {
        farm: view,
        today: today(view, [...forecasts.values()], clock.now()),
        silentSensors: [...new Set(silent.map(({ sensor }) => sensor))],
      };
    },
    onHeartbeat: (state, text) => board.report('heartbeat', state, text),
    onChange: feed.alarmsMoved,
    onState({ state, text }) {
      report('delivery', state, text);
      tellDeliveries();
    },
    onGone: (text) => board.notice('webhooks', text),
  });
  const { book: alarms, delivery } = alarmDesk;

  const forecasting =
    parts.forecasts &&
    createSiteForecasts({
      ...{ database, clock, farm: () => farm, bags, history: ownHistory, onProblem },
      inThread: parts.forecasts.inThread,
      onEmpty: unloads.tellAll,
      onForecasts(list, ended) {
        for (const cohort of ended) forecasts.delete(cohort);
        for (const forecast of list) forecasts.set(forecast.cohort, forecast);
        feed.change({ forecasts: list, endedCohorts: ended });
      },
      onState: (state, text) => report('forecasts', state, text),
    });
  const forecastsMade = () => {
    if (forecasting === null) throw new AppError('unavailable', 'This site makes no forecasts.');
    return forecasting;
  };

  const store = createJudgedStore({
    ...{ database, clock, log: readings, judge: alarms },
    onTrouble: (problem) => report('store', problem === null ? 'ok' : 'failed', problem ?? 'writing'),
  });
  const intake = createIntake({
    ...{ farm, clock, log, commit: store.commit },
    onAccepted(added) {
      metrics.stored(added.length);
      storedSoFar += added.length;
      if (feed.heard()) feed.change({ channels: told.of(new Set(added.map(({ channel }) => channel))) });
      forecasting?.air(added);
      unloads.noteAir(added);
    },
    onReadFailure: store.refused,
  });
  const told = createToldValues({ farm: () => farm, live: intake.live, unloads: () => unloads.watched() });
  const metrics = createSiteMetrics({
    alarms: () => alarms.views(),
    parts: () => board.parts(),
    rejected: () => intake.counts().refused,
  });

  const tick = () => {
    if (store.tick()) evaluations += 1;
  };

  const brokerStatus = ({ state, text }: TransportStatus) => {
    const connected = state === 'connected';
    report('broker', connected ? 'ok' : state === 'away' ? 'failed' : 'waiting', text);
    board.notice('broker', state === 'away' ? `No contact with the broker: ${text}` : null);
  };

  const tuning = createTuningDesk({
    book: alarms,
    farm: () => farm,
    edits: parts.edits ?? noEdits,
    recorded: ownHistory,
    pause: () => nextTurn(),
  });

  const standing = (): BatchState[] => bags.batches().filter((batch) => batch.endedAt === null);

  /** So that a restart begins with values, trends and forecasts instead of an empty wall. */
  const recall = async () => {
    const now = clock.now();
    await recallValues({ channels: farm.channels.keys(), now, history: ownHistory, live: intake.live });
    forecasting?.start(now);
  };

  const desk: SiteDesk = {
    live: () => ({
      kind,
      now: clock.now(),
      farm: farmView(farm, farmVersion),
      channels: told.all(),
      alarms: alarms.views(),
      batches: standing(),
      forecasts: [...forecasts.values()],
      unloads: unloads.live(),
      notices: board.notices(),
      parts: board.parts(),
      run: parts.run?.() ?? null,
    }),
    onChange: feed.listen,
    series: createHeldHistory({
      rest: createDerivedHistory(history, () => farm),
      ...{ history: ownHistory, farm: () => farm, clock },
    }),
    curve: async (cohort) => forecastsMade().curve(cohort),
    strain: (id) => strainPageOf(farm, forecasting?.finished() ?? [], id),
    shelfAir: async (question) => forecastsMade().shelfAir(question),
    species: () => speciesViews(farm),
    batch(id) {
      const state = bags.batch(id);
      return state === undefined ? undefined : { state, events: bags.events(id) };
    },
    record(event) {
      if (!bags.record(event)) return;
      forecasting?.batchChanged(event.batch);
      unloads.noteBags(event);
      feed.change({ batches: standing() });
      parts.onBagEvent?.(event);
    },
    alarm: (id) => {
      const { computed, ...detail } = alarms.detail(id);
      const bags = bagsAtStake(detail.alarm, farm, forecasts.values());
      const course = courseOf(computed, detail.rule.wrong, bags);
      return { ...detail, bags, course, escalation: delivery.escalation(id) };
    },
    actOnAlarm: (alarm, act, who) => alarms.act(alarm, act, who),
    alarmJournal: (question) => alarms.journal(question),
    tuning,
    delivery: {
      people: delivery.people,
      tryChannel: delivery.tryChannel,
      lookAtLink: alarmDesk.lookAtLink,
      useLink: alarmDesk.useLink,
    },
    unloads: unloads.desk,
    found: () => intake.found(),
    metrics: () => metrics.text(),
  };

  return {
    desk,
    board,
    /** How a part that runs beside the site is: on the health page, and an alarm when it fails. */
    report,
    /** The readings log, for those who follow it or drop what is old. */
    readings,
    /** Takes what is known from the store, then opens the door to readings. */
    async start(): Promise<void> {
      board.report('store', 'ok', 'writing');
      await recall();
      cancels.push(transport.onStatus(brokerStatus));
      brokerStatus(transport.status());
      transport.subscribe(intake.filters());
      await transport.start(intake.accept);
      alarmDesk.start();
      cancels.push(
        intake.live.onSilence((channels) => feed.change({ channels: told.of(channels) })),
        clock.every(parts.tickMs ?? secondMs, tick),
        keepSettled(
          readings,
          clock,
          (thrown) => log('error', 'Roll-ups could not be brought up to date', thrown),
          parts.tickMs === undefined ? undefined : 10 * parts.tickMs,
        ),
        clock.every(minuteMs, () => {
          unloads.lookAhead(clock.now());
          forecasting?.advance(clock.now());
          unloads.tick(clock.now());
        }),
      );
      unloads.start();
    },
    /** Takes a reloaded farm over. */
    setFarm(next: Farm): void {
      if (next.file.site.id !== farm.file.site.id)
        throw new AppError(
          'refused',
          `site.id may not change while running (${farm.file.site.id} to ${next.file.site.id}): start again with another data folder.`,
        );
      farm = next;
      farmVersion += 1;
      intake.setFarm(farm);
      alarmDesk.setFarm(farm);
      forecasting?.farmChanged();
      transport.subscribe(intake.filters());
      feed.change({ farm: farmView(farm, farmVersion) });
      feed.alarmsMoved();
    },
    /** Takes up what finished batches taught that was put down apart from the running site. */
    relearn: (): void => forecasting?.relearn(),
    /** The controls of a training run were used: tells the screens. */
    runChanged(): void {
      feed.change({ run: parts.run?.() ?? null });
    },
    /** Whatever rings was seen by `who`, now by the site's clock: for a past that is made. */
    acknowledgeRinging(who: string): void {
      for (const { id, ringing } of alarms.views()) if (ringing) alarms.act(id, { act: 'acknowledge' }, who);
    },
    /** Learns rooms from the past that was made, in a thread of its own; from then on every night. */
    learnRooms: unloads.learnRooms,
    /** Messages that each arrived at their own `t`, in one commit: for making history and for training. */
    takeIn: (messages: readonly { topic: string; payload: string | Uint8Array; t: EpochMs }[]): void =>
      intake.accept.all(
        messages.map(({ topic, payload, t }) => ({
          topic,
          payload: typeof payload === 'string' ? Buffer.from(payload) : payload,
          retained: false,
          receivedAt: t,
        })),
      ),
    /** As `desk.record`, for history brought in afterwards: it counts as known when it happened. */
    recordPast: (event: BagEvent): void => void bags.recordPast(event),
    async close(): Promise<void> {
      for (const cancel of cancels) cancel();
      partAlarms.close();
      await transport.stop();
      intake.close();
      cancelTelling?.();
      await alarmDesk.stop();
      await forecasting?.close();
      await unloads.close();
      mailer.close();
      try {
        readings.settle();
      } catch (thrown) {
        log('warn', 'Roll-ups are brought up to date at the next start', thrown);
      }
      feed.close();
    },
  };
}
export type Site = ReturnType<typeof openSite>;
