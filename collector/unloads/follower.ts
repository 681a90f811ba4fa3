import { AppError, messageOf } from '../../shared/errors.ts';
import type { Farm } from '../../shared/farm/farm.ts';
import type { CohortForecast } from '../../shared/forecasts.ts';
import { itself } from '../../shared/itself.ts';
import type { LiveValue } from '../../shared/readings.ts';
import { type Clock, type EpochMs, hourMs, minuteMs } from '../../shared/time.ts';
import type { UnloadState } from '../../shared/unload/derive.ts';
import { learnLoad } from '../../shared/unload/load-belief.ts';
import type { UnloadEvent, UnloadNow } from '../../shared/unloads.ts';
import { isUsable } from '../../shared/usable.ts';
import type { StoreHistory } from '../store/history.ts';
import type { Gather } from './gather.ts';
import { probeNow, probeSpots } from './probes.ts';
import { recentAir } from './recent-air.ts';
import type { Reckoner } from './reckoner.ts';
import { type DosesBefore, reportOf } from './report.ts';
import type { UnloadBook } from './unload-book.ts';
import { isOver } from './views.ts';

export interface FollowerNeeds {
  book: UnloadBook;
  clock: Pick<Clock, 'now'>;
  farm: () => Farm;
  history: Pick<StoreHistory, 'readMinutes'>;
  forecasts: () => Iterable<CohortForecast>;
  liveValue: (channel: string) => LiveValue | undefined;
  gather: Gather;
  reckoner: Reckoner;
  record: (event: UnloadEvent) => void;
  onChange: () => void;
  onProblem: (text: string, thrown: unknown) => void;
}

/** Air around a load is followed in steps of a minute. */
const stepMs = minuteMs;
/** What it was just before is known when the load comes in. */
const metBeforeMs = 10 * minuteMs;
/** How often a load is worked out anew: each minute at first and while a probe stands in it, later it moves slowly. */
const everyMs = (elapsedMs: number, { probe }: UnloadNow): number =>
  elapsedMs < 2 * hourMs || probe !== null ? minuteMs : 5 * minuteMs;

/** A plan is asked for so often before it is given up: a thread that is lost each time is lost by the question. */
const mostTries = 5;

/** After a restart the instant at which a load was cool enough is found to this. */
const soughtToMs = 5 * minuteMs;

/** Cool enough inside to take spawn. */
const isCool = ({ inoculateAt, asOf }: UnloadNow): boolean =>
  inoculateAt !== null && inoculateAt.likely <= asOf;

/** When it was last known to be too warm for spawn: by a thermometer in its core, or as it came in. */
const lastHotAt = ({ at, measured }: UnloadState, belowC: number): EpochMs =>
  measured.reduce(
    (last, { where, tempC, t }) => (where === 'core' && tempC >= belowC ? Math.max(last, t) : last),
    at,
  );

/** Keeps loads that are underway up to date: what was expected of each, what it does, and what came of it. */
export function createFollower(needs: FollowerNeeds) {
  const { book, clock, history, gather, reckoner, record, onChange, onProblem } = needs;
  const nows = new Map<string, UnloadNow>();
  /** Being worked out, and whether something happened meanwhile. */
  const busy = new Map<string, { again: boolean }>();
  const planning = new Set<string>();
  /** How often a plan was asked for and the thread lost with it: asked for again, a few times. */
  const lost = new Map<string, number>();
  let closed = false;

  const inRoom = (room: string): CohortForecast[] =>
    [...needs.forecasts()].filter(({ shelf }) => needs.farm().shelves.get(shelf ?? '')?.room === room);

  const humidityIn = (room: string): number | null => {
    for (const { id, quantity, room: at } of needs.farm().channels.values()) {
      if (at !== room || quantity !== 'humidity') continue;
      const value = needs.liveValue(id);
      if (value !== undefined && !value.silent && isUsable(value.quality)) return value.value;
    }
    return null;
  };

  const airOf = ({ room, at }: UnloadState, now: EpochMs, beforeMs = 0) =>
    recentAir({ farm: needs.farm(), room, now, history, from: at - beforeMs, stepMs, levelAt: at });

  /** The load at an instant, or null where its container is no longer of the farm. */
  const follow = async (unload: UnloadState, now: EpochMs) => {
    const farm = needs.farm();
    const container = farm.containers.get(unload.load.container);
    if (container === undefined) return null;
    return reckoner.follow({
      ...{ unload, container, now, humidity: humidityIn(unload.room), air: airOf(unload, now, metBeforeMs) },
      probed: probeSpots({ unload, now, history }),
      probe: probeNow({ unload, now, farm, liveValue: needs.liveValue }),
      plan: book.roomPlan(unload),
      isJoined: book.joining(unload).length > 0,
      belief: book.belief(unload.load.container),
      inoculateBelowC: farm.file.unloads.inoculateBelowC,
    });
  };

  /** When a load that nobody followed was cool enough, looked for between two instants. */
  const soughtCoolAt = async (unload: UnloadState, from: EpochMs, now: EpochMs): Promise<EpochMs> => {
    let [hot, cool] = [from, now];
    while (cool - hot > soughtToMs) {
      const middle = Math.round((hot + cool) / 2);
      const then = await follow(unload, middle);
      if (then === null || isCool(then.state)) cool = middle;
      else hot = middle;
    }
    return cool;
  };

  /** Once it was cool enough, that is when it was, unless a thermometer in it has said otherwise since. */
  const withCoolAt = async (
    unload: UnloadState,
    before: UnloadNow | undefined,
    state: UnloadNow,
  ): Promise<UnloadNow> => {
    const hotAt = lastHotAt(unload, state.inoculateBelowC);
    const wasCool = before !== undefined && isCool(before) && before.inoculateAt!.likely > hotAt;
    if (wasCool) return { ...state, inoculateAt: before.inoculateAt };
    if (!isCool(state)) return state;
    // What was measured only now says more than what is reckoned for now.
    const soon = hotAt + soughtToMs;
    if (soon > state.asOf) return { ...state, inoculateAt: { earliest: soon, likely: soon, latest: soon } };
    if (before !== undefined && !isCool(before)) return state;
    const t = await soughtCoolAt(unload, hotAt, state.asOf);
    return { ...state, inoculateAt: { earliest: t, likely: t, latest: t } };
  };

  const endIfOver = (unload: UnloadState, state: UnloadNow, now: EpochMs): void => {
    const { id } = unload;
    if (!isOver({ unload, plan: book.plan(id), roomPlan: book.roomPlan(unload), state, now })) return;
    const name = `ended-${id}`.slice(0, 64);
    record({ kind: 'ended', id: name, unload: id, t: now, who: itself, because: 'itself' });
  };

  const bringUp = async (id: string): Promise<void> => {
    const mine = busy.get(id);
    if (mine !== undefined) {
      mine.again = true;
      return;
    }
    const work = { again: false };
    busy.set(id, work);
    try {
      do {
        work.again = false;
        const unload = book.state(id);
        if (unload?.stage !== 'underway' || closed) break;
        const now = clock.now();
        const followed = await follow(unload, now);
        const state = followed && (await withCoolAt(unload, nows.get(id), followed.state));
        if (state === null || closed || book.state(id)?.stage !== 'underway') break;
        nows.set(id, state);
        onChange();
        endIfOver(unload, state, now);
      } while (work.again);
    } catch (thrown) {
      if (!closed) onProblem(`A hot load could not be followed: ${messageOf(thrown)}`, thrown);
    } finally {
      busy.delete(id);
    }
  };

  /** What was expected as it began is worked out once, from what was known then. */
  const planBegun = async (unload: UnloadState): Promise<void> => {
    const { id, room, load, options, at, stage } = unload;
    if (planning.has(id) || book.plan(id) !== null) return;
    planning.add(id);
    const isPast = stage === 'ended';
    const before: DosesBefore = Object.fromEntries(
      isPast ? [] : inRoom(room).map(({ cohort, heat }) => [cohort, heat.equivalentHours]),
    );
    try {
      // One that is to come has a plan of its own as soon as it is there, and this one is over by then.
      const input = await gather({ room, load, options, at }, at, { id, isPast, alone: true });
      const plan = await reckoner.plan(needs.farm().file.site.timeZone, input);
      if (!closed) book.keepPlan(id, plan, before);
    } catch (thrown) {
      if (closed) return;
      const isLost = thrown instanceof AppError && thrown.code === 'unavailable';
      if (isLost) lost.set(id, (lost.get(id) ?? 0) + 1);
      else lost.delete(id);
      onProblem(`What was to be expected of an unload in ${room} is not known: ${messageOf(thrown)}`, thrown);
    } finally {
      planning.delete(id);
    }
  };

  /** What came of a load, and what it taught of loads of its kind. */
  const conclude = async (unload: UnloadState): Promise<void> => {
    const { id, room, load, endedAt } = unload;
    const last = nows.get(id);
    nows.delete(id);
    lost.delete(id);
    const to = endedAt ?? clock.now();
    try {
      const followed = await follow(unload, to);
      const state = followed && (await withCoolAt(unload, last, followed.state));
      if (closed) return;
      const { container } = load;
      const taught = followed?.learned
        ? { container, belief: learnLoad(book.belief(container), followed.learned) }
        : null;
      const cool = state !== null && isCool(state) ? state.inoculateAt!.likely : null;
      const report = reportOf({
        ...{ unload, plan: book.plan(id), air: airOf(unload, to), inoculateAt: cool },
        joinedAt: book.joining(unload)[0]?.at ?? null,
        ...{ forecasts: inRoom(room), dosesBefore: book.dosesBefore(id) },
      });
      book.conclude(id, report, taught);
      onChange();
    } catch (thrown) {
      if (!closed) onProblem(`What came of an unload is not known: ${messageOf(thrown)}`, thrown);
    }
  };

  const changed = async (unload: UnloadState): Promise<void> => {
    await bringUp(unload.id);
    if (book.plan(unload.id) !== null) return;
    await planBegun(unload);
    await bringUp(unload.id);
  };

  return {
    now: (id: string): UnloadNow | null => nows.get(id) ?? null,
    /** Something happened to a load that is underway. */
    changed,
    /** Loads that are due are worked out anew. */
    look(now: EpochMs): void {
      for (const unload of book.underway()) {
        const { id, at } = unload;
        const known = nows.get(id);
        const tries = lost.get(id) ?? 0;
        if (tries > 0 && tries < mostTries && book.plan(id) === null) void changed(unload);
        else if (known === undefined || now - known.asOf >= everyMs(now - at, known)) void bringUp(id);
      }
    },
    conclude,
    /** It did not take place: nothing comes of it. */
    forget(id: string): void {
      nows.delete(id);
      lost.delete(id);
    },
    /** Loads that came and went while nothing followed them are planned from what was known then, and concluded. */
    async catchUp(): Promise<void> {
      for (const unload of book.states())
        if (unload.stage === 'ended' && !book.isConcluded(unload.id)) {
          await planBegun(unload);
          if (closed) return;
          await conclude(unload);
        }
    },
    close(): void {
      closed = true;
    },
  };
}
