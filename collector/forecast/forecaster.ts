import type { Worker } from 'node:worker_threads';
import type { BatchState } from '../../shared/batches.ts';
import { AppError } from '../../shared/errors.ts';
import type { FarmFile } from '../../shared/farm/schema.ts';
import type { CohortCurve, CohortForecast, ShelfAirSeries } from '../../shared/forecasts.ts';
import type { BatchTraits, Beliefs } from '../../shared/growth/belief.ts';
import type { ShelfAirQuestion } from '../../shared/ports.ts';
import type { Quality } from '../../shared/readings.ts';
import type { Cancel, Clock, EpochMs } from '../../shared/time.ts';
import { isUsable } from '../../shared/usable.ts';
import { type EngineChannel, localChannel, threadChannel } from './channel.ts';
import type { ComingWarmth } from './coming.ts';
import type { RoomDepartures } from './explained-air.ts';
import { withAncestors } from './lineage.ts';
import type { FromEngine, ToEngine } from './protocol.ts';
import { createReadingBuffer } from './reading-buffer.ts';
import { startThread } from './start-thread.ts';

export interface ForecasterOptions {
  clock: Clock;
  /** False runs everything in the calling thread, at once: for tests. */
  inThread: boolean;
  /** Forecasts that changed, and cohorts that are no more. */
  onForecasts(changed: CohortForecast[], ended: string[]): void;
  onState(state: 'ok' | 'waiting' | 'failed', text: string): void;
  /**
   * Called when a thread was lost and a new one stands empty: hand the history over again with `loadHistory`.
   * Farm file and batches are kept here and need no help.
   */
  reload?: () => void;
  /** How a thread is made; only tests have another way. */
  thread?: () => Worker;
}

export interface Forecaster {
  setFarm(file: FarmFile): void;
  /** Batches that changed, ended ones that others were poured from among them; with `whole`, all that there are. */
  setBatches(batches: readonly BatchState[], whole?: boolean): void;
  /** What is believed before anyone looked; replaces all that was believed. See `Engine.setBeliefs`. */
  setBeliefs(beliefs: Beliefs): void;
  /** Warmth that hot loads are to bring to rooms, all of it. */
  setComing(coming: readonly ComingWarmth[]): void;
  /** What a room's model says of its departures from its usual day; told again after `reload`. */
  setDepartures(departures: RoomDepartures): void;
  /** New readings after their commit, late ones too, each once. Only good temperatures count. */
  air(points: readonly { channel: string; t: EpochMs; value: number; quality: Quality }[]): void;
  /**
   * Past good readings [°C] of a channel, before it is first advanced; with `count`, means of so many readings
   * each, which come to the same; `byHand` for what was estimated from a written minimum and maximum.
   */
  loadHistory(
    channel: string,
    t: Float64Array,
    value: Float64Array,
    count?: Float64Array,
    byHand?: boolean,
  ): void;
  /** Brings forecasts to an instant, or to the newest one asked for while it was still at work. */
  advance(now: EpochMs): void;
  /** Throws AppError 'not-found' for a cohort that has no forecast, 'unavailable' while the thread is away. */
  curve(cohort: string): Promise<CohortCurve>;
  /** Throws as `curve` does, for a shelf that the farm does not have. */
  shelfAir(about: ShelfAirQuestion): Promise<ShelfAirSeries>;
  /**
   * What a batch teaches of its traits up to now or its end, with all its cohorts given (see `Engine.traits`).
   * Throws AppError 'not-found' with why not, 'unavailable' while the thread is away.
   */
  traits(batch: BatchState): Promise<BatchTraits>;
  close(): Promise<void>;
}

/** Channels that forecasts are made of: air, and probes in bags. */
const isWarmth = (channel: string): boolean => /\.(probe-)?temperature$/.test(channel);

const flushAt = 5000;
/** Clock time between a change and the forecast of it, so that many changes make one forecast. */
const gatherMs = 1000;
const restartAfterMs = [1000, 5000, 30_000] as const;

/** Forecasts of all standing bags, in a thread that may be lost and comes back. */
export function createForecaster(options: ForecasterOptions): Forecaster {
  const { clock, inThread, onForecasts, onState, reload, thread = startThread } = options;
  const buffer = createReadingBuffer();
  const batches = new Map<string, BatchState>();
  const questions = new Map<number, { resolve(answer: never): void; reject(error: AppError): void }>();
  let beliefs: Beliefs | undefined;
  let coming: readonly ComingWarmth[] = [];
  let farm: FarmFile | undefined;
  let channel: EngineChannel | undefined;
  let asked = 0;
  let losses = 0;
  let working = false;
  let wanted: EpochMs | undefined;
  let gathering: Cancel | undefined;
  let restarting: Cancel | undefined;
  let closed = false;

  const post = (message: ToEngine): void => channel?.post(message);

  const flush = (): void => {
    if (buffer.size() > 0 && channel !== undefined) post({ kind: 'readings', readings: buffer.take() });
  };

  const work = (): void => {
    if (working || wanted === undefined || farm === undefined || channel === undefined) return;
    const now = wanted;
    wanted = undefined;
    working = true;
    flush();
    post({ kind: 'advance', now });
  };

  const want = (now: EpochMs): void => {
    wanted = Math.max(now, wanted ?? now);
    work();
  };

  const soon = (): void => {
    if (closed) return;
    gathering ??= clock.after(gatherMs, () => {
      gathering = undefined;
      want(clock.now());
    });
  };

  const onMessage = (message: FromEngine): void => {
    if (message.kind === 'fault') onState('failed', message.text);
    else if (message.kind !== 'advanced') {
      const question = questions.get(message.question);
      questions.delete(message.question);
      if (message.answer !== undefined) question?.resolve(message.answer as never);
      else question?.reject(new AppError('not-found', message.why));
    } else {
      working = false;
      losses = 0;
      const { forecasts, ended, problems } = message;
      if (forecasts.length > 0 || ended.length > 0) onForecasts(forecasts, ended);
      if (problems.length > 0) onState('failed', problems.join('; '));
      else onState('ok', 'up to date');
      work();
    }
  };

  const refuseQuestions = (why: string): void => {
    for (const { reject } of questions.values()) reject(new AppError('unavailable', why));
    questions.clear();
  };

  const ask = <T>(message: (question: number) => ToEngine): Promise<T> => {
    if (channel === undefined)
      return Promise.reject(
        new AppError('unavailable', 'The forecast thread is starting; try again in a moment.'),
      );
    const question = ++asked;
    return new Promise<T>((resolve, reject) => {
      questions.set(question, { resolve, reject });
      post(message(question));
    });
  };

  /** Lets go of batches that ended and that no standing one descends from, once there are many. */
  const forget = (): void => {
    const standing = [...batches.values()].filter(({ endedAt }) => endedAt === null);
    if (batches.size < 2 * standing.length + 200) return;
    const kept = withAncestors(standing, (id) => batches.get(id));
    batches.clear();
    for (const batch of kept) batches.set(batch.id, batch);
  };

  const open = (): void => {
    channel = inThread ? threadChannel(thread(), onMessage, onGone) : localChannel(onMessage);
    if (farm !== undefined) post({ kind: 'farm', file: farm });
    if (beliefs !== undefined) post({ kind: 'beliefs', beliefs });
    if (coming.length > 0) post({ kind: 'coming', coming });
    post({ kind: 'batches', batches: [...batches.values()], whole: true });
  };

  const onGone = (why: string): void => {
    channel = undefined;
    working = false;
    buffer.take();
    refuseQuestions('The forecast thread was lost; try again in a moment.');
    onState('failed', `The forecast thread was lost (${why}); starting another.`);
    const delay = restartAfterMs[Math.min(losses, restartAfterMs.length - 1)]!;
    losses++;
    restarting = clock.after(delay, () => {
      open();
      onState('waiting', 'working out all forecasts again');
      reload?.();
      want(clock.now());
    });
  };

  onState('waiting', 'starting');
  open();

  return {
    setFarm(file) {
      farm = file;
      post({ kind: 'farm', file });
      soon();
    },
    setBatches(changed, whole = false) {
      if (whole) batches.clear();
      for (const batch of changed) batches.set(batch.id, batch);
      forget();
      post({ kind: 'batches', batches: [...changed], whole });
      soon();
    },
    setBeliefs(next) {
      beliefs = next;
      post({ kind: 'beliefs', beliefs });
      soon();
    },
    setComing(next) {
      if (next.length === 0 && coming.length === 0) return;
      coming = next;
      post({ kind: 'coming', coming });
      soon();
    },
    setDepartures(departures) {
      post({ kind: 'departures', departures });
    },
    air(points) {
      // While there is no thread, the history that is handed over later holds these too.
      if (channel === undefined) return;
      for (const { channel: id, t, value, quality } of points)
        if (isUsable(quality) && isWarmth(id)) buffer.add(id, t, value);
      if (buffer.size() >= flushAt) flush();
    },
    loadHistory(id, t, value, count, byHand = false) {
      if (!isWarmth(id)) return;
      post({ kind: 'readings', readings: [{ channel: id, t, value, ...(count ? { count } : {}), byHand }] });
    },
    advance: want,
    curve: (cohort) => ask((question) => ({ kind: 'curve', question, cohort })),
    shelfAir(about) {
      flush();
      return ask((question) => ({ kind: 'air', question, about }));
    },
    traits(batch) {
      flush();
      return ask((question) => ({ kind: 'traits', question, batch }));
    },
    async close() {
      closed = true;
      gathering?.();
      restarting?.();
      refuseQuestions('The forecaster is closing.');
      await channel?.close();
      channel = undefined;
    },
  };
}
