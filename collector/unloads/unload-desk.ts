import type { Database } from 'better-sqlite3';
import { roomAirChannels } from '../../shared/air/room-channels.ts';
import type { BagEvent } from '../../shared/bags.ts';
import type { BatchState } from '../../shared/batches.ts';
import { AppError } from '../../shared/errors.ts';
import type { Farm } from '../../shared/farm/farm.ts';
import type { CohortForecast, ShelfAirSeries } from '../../shared/forecasts.ts';
import { createLocalHour } from '../../shared/local-hour.ts';
import type { ShelfAirQuestion, UnloadDesk } from '../../shared/ports.ts';
import type { LiveValue } from '../../shared/readings.ts';
import type { RoomFit } from '../../shared/room/room-fit.ts';
import { type Clock, dayMs, type EpochMs, minuteMs } from '../../shared/time.ts';
import type { UnloadState } from '../../shared/unload/derive.ts';
import type { WatchedUnload } from '../../shared/unload/watched.ts';
import type {
  RoomPage,
  UnloadDetail,
  UnloadEvent,
  UnloadNow,
  UnloadPlan,
  UnloadQuestion,
  UnloadReport,
  UnloadsLive,
  UnloadView,
} from '../../shared/unloads.ts';
import type { RecordedLoad } from '../rooms/past.ts';
import type { StoreHistory } from '../store/history.ts';
import { createFollower } from './follower.ts';
import { createGather } from './gather.ts';
import { createGuesses } from './guesses.ts';
import { withProbe } from './probes.ts';
import { createReckoner } from './reckoner.ts';
import { createShelfDifferences } from './shelf-differences.ts';
import { createUnloadBook } from './unload-book.ts';
import { isOpen, summaryOf, viewOf, watchedOf } from './views.ts';

export interface UnloadDeskNeeds {
  /** With this part's migrations applied. */
  database: Database;
  clock: Pick<Clock, 'now'>;
  farm: () => Farm;
  history: Pick<StoreHistory, 'readMinutes' | 'readStates'>;
  batches: () => readonly BatchState[];
  forecasts: () => Iterable<CohortForecast>;
  liveValue: (channel: string) => LiveValue | undefined;
  /** Air at a shelf as forecasts take it; null where none are made. */
  shelfAir: ((question: ShelfAirQuestion) => Promise<ShelfAirSeries>) | null;
  rooms: {
    fitOf: (room: string, knownBy?: EpochMs) => RoomFit;
    page: (room: string) => Omit<RoomPage, 'unloads' | 'denied'>;
    taughtAfter: (room: string, t: EpochMs) => string[];
    /** Heat that bags give to a room [W]; null where nobody knows. */
    bagsW: (room: string, t: EpochMs) => number | null;
  };
  /** Titles of alarms that stand and say that a room is not held as it was. */
  alarms: (room: string) => readonly string[];
  /** Whether loads are planned and followed; not while a past is made, which takes no notice of plans. */
  follows: boolean;
  /** Whether that is done in a thread of its own. */
  inThread: boolean;
  /** Screens are to be told. */
  onChange: () => void;
  onProblem: (text: string, thrown: unknown) => void;
  /** Told every event that was stored. */
  onRecorded: (event: UnloadEvent) => void;
}

/** Bags made so recently count as being made now. */
const makingMs = 60 * minuteMs;

const isCoolNow = (state: UnloadNow | null): boolean =>
  state !== null && state.coreC.likely <= state.inoculateBelowC;

/** A room tells of questions that were none for so long. */
const deniedShownMs = 14 * dayMs;

const toBeLearned = 'The room is learned anew each night; the next one has this load in it.';

/** Hot loads of a site: what they would do, what they do, and what came of them. */
export function createUnloadDesk(needs: UnloadDeskNeeds) {
  const { database, clock, history, rooms, onChange, onProblem } = needs;
  const book = createUnloadBook({ database, farm: needs.farm, clock });
  const reckoner = createReckoner(needs.inThread);
  const gather = createGather({
    ...{ farm: needs.farm, history, batches: needs.batches, forecasts: needs.forecasts },
    ...{ fitOf: rooms.fitOf, bagsW: rooms.bagsW },
    beliefOf: book.belief,
    shelfDifferences: createShelfDifferences(needs.shelfAir),
    unloads: book.states,
    alarms: needs.alarms,
  });
  const follower = createFollower({
    ...{ book, clock, history, gather, reckoner, onChange, onProblem },
    ...{ farm: needs.farm, forecasts: needs.forecasts, liveValue: needs.liveValue },
    record: (event) => record(event),
  });
  /** Batches made of the same containers as a load, by the load: when the last was made. */
  const making = new Map<string, EpochMs>();

  let zone: { name: string; localHour: (t: EpochMs) => number } | undefined;
  const localHour = () => {
    const name = needs.farm().file.site.timeZone;
    if (zone?.name !== name) zone = { name, localHour: createLocalHour(name) };
    return zone.localHour;
  };
  const guesses = createGuesses({
    ...{ farm: needs.farm, history, fitOf: rooms.fitOf, bagsW: rooms.bagsW },
    ...{ localHour, unloads: book.states },
    unanswered: book.asked,
    everAsked: () => book.everything().flatMap((event) => (event.kind === 'asked' ? [event] : [])),
    record: (event) => record(event),
  });

  const record = (given: UnloadEvent): void => {
    const event = withProbe(given, needs.farm(), book.underway());
    if (!book.record(event)) return;
    needs.onRecorded(event);
    const unload = book.state(event.unload);
    if (needs.follows && unload?.stage === 'underway') void follower.changed(unload);
    if (needs.follows && event.kind === 'ended' && unload !== undefined) void follower.conclude(unload);
    if (event.kind === 'withdrawn') follower.forget(event.unload);
    if (unload?.stage !== 'underway') making.delete(event.unload);
    onChange();
  };

  const view = (unload: UnloadState): UnloadView =>
    viewOf(unload, book.plan(unload.id), follower.now(unload.id));

  const summary = (unload: UnloadState) => summaryOf(unload, book.peaks(unload.id));

  const watched = (): WatchedUnload[] =>
    book.underway().map((unload) =>
      watchedOf({
        ...{ unload, farm: needs.farm(), plan: book.plan(unload.id), state: follower.now(unload.id) },
        roomPlan: book.roomPlan(unload),
        isFollowed: needs.follows,
        isMaking: clock.now() - (making.get(unload.id) ?? Number.NEGATIVE_INFINITY) < makingMs,
        now: clock.now(),
      }),
    );

  /** With what the room's next night of learning made of it, once that was. */
  const reportFor = ({ id, room, endedAt }: UnloadState): UnloadReport | null => {
    const report = book.report(id);
    if (report === null || endedAt === null) return report;
    const since = rooms.taughtAfter(room, endedAt);
    return { ...report, taught: [...report.taught, ...(since.length > 0 ? since : [toBeLearned])] };
  };

  const plan = async (question: UnloadQuestion, about?: { alone: true }): Promise<UnloadPlan> => {
    const input = await gather(question, clock.now(), about);
    return reckoner.plan(needs.farm().file.site.timeZone, input);
  };

  const desk: UnloadDesk = {
    plan: (question) => plan(question),
    record,
    unload(id): UnloadDetail {
      const unload = book.state(id);
      if (unload === undefined)
        throw new AppError(
          'not-found',
          `There is no unload '${id}' on this farm; the list of unloads has all there are.`,
        );
      const channels = roomAirChannels(needs.farm(), unload.room).map((channel) => channel.id);
      const probes = [...new Set(unload.probes.map(({ channel }) => channel))];
      return { view: view(unload), events: book.events(id), channels, probes, report: reportFor(unload) };
    },
    list: () => book.states().reverse().map(summary),
    room(id) {
      if (!needs.farm().rooms.has(id))
        throw new AppError(
          'not-found',
          `There is no room '${id}' on this farm. Known: ${[...needs.farm().rooms.keys()].join(', ')}.`,
        );
      const here = book.states().filter(({ room }) => room === id);
      const since = clock.now() - deniedShownMs;
      const denied = book
        .denied()
        .flatMap(({ room, ...one }) => (room === id && one.askedAt > since ? [one] : []));
      return { ...rooms.page(id), unloads: here.reverse().map(summary), denied };
    },
  };

  return {
    desk,
    /** For the wall and every page. */
    live: (): UnloadsLive => ({
      open: book
        .states()
        .filter((unload) => isOpen(unload, clock.now()))
        .map(view),
      guesses: guesses.open(book.asked(), clock.now()),
    }),
    /** For alarms. */
    watched,
    /** Loads that took place or stand somewhere now, for learning rooms from. */
    loads: (): RecordedLoad[] =>
      book
        .states()
        .filter(({ hasBegun, stage }) => hasBegun && stage !== 'withdrawn')
        .map(({ room, at, endedAt, load, options, measured }) => ({
          ...{ room, at, endedAt, ...load, fan: options.fan },
          cores: measured.filter(({ where }) => where === 'core').map(({ t, tempC }) => ({ t, tempC })),
        })),
    /** What one load does by itself, whatever else is scheduled. */
    planAlone: (question: UnloadQuestion): Promise<UnloadPlan> => plan(question, { alone: true }),
    /** Loads that are to come. */
    scheduled: (): UnloadState[] => book.states().filter(({ stage }) => stage === 'scheduled'),
    /** Brings up what a restart finds. */
    start(): void {
      if (!needs.follows) return;
      for (const unload of book.underway()) void follower.changed(unload);
      void follower.catchUp();
    },
    /** To be called each minute: loads and rooms move on. */
    tick(now: EpochMs): void {
      if (!needs.follows) return;
      follower.look(now);
      try {
        guesses.look(now);
      } catch (thrown) {
        // A full disk, most likely: the next look asks again.
        onProblem('Rooms could not be looked at for loads that nobody declared', thrown);
      }
    },
    /** Somebody made bags: of a load that is still hot that is a mistake. */
    noteBags(event: BagEvent): void {
      if (event.kind !== 'made') return;
      const its = book
        .underway()
        .filter(({ load, at }) => load.container === event.container && event.t >= at);
      // One of them is cool enough: they are made of that one.
      if (its.some(({ id }) => isCoolNow(follower.now(id)))) return;
      for (const { id } of its) making.set(id, event.t);
    },
    async close(): Promise<void> {
      follower.close();
      await reckoner.close();
    },
  };
}
