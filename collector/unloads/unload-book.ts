import type { Database } from 'better-sqlite3';
import type { z } from 'zod';
import type { Farm } from '../../shared/farm/farm.ts';
import type { Clock } from '../../shared/time.ts';
import {
  askedOf,
  deniedOf,
  deriveUnload,
  type UnloadAsked,
  type UnloadState,
} from '../../shared/unload/derive.ts';
import { firstLoadBelief, type LoadBelief, loadBelief } from '../../shared/unload/load-belief.ts';
import {
  type UnloadEvent,
  type UnloadPlan,
  type UnloadReport,
  unloadPlan,
  unloadReport,
} from '../../shared/unloads.ts';
import { isRepeatedEvent } from '../store/repeated-event.ts';
import { checkUnloadEvent, parseUnloadEvent } from './check-event.ts';
import type { DosesBefore } from './report.ts';
import { type Peaks, peaksOf } from './views.ts';

interface UnloadBookParts {
  database: Database;
  farm: () => Farm;
  clock: Pick<Clock, 'now'>;
}

interface Taught {
  container: string;
  belief: LoadBelief;
}

/** What an older make of the tool put down may be of another shape: it is as good as none. */
function readable<T>(schema: z.ZodType<T>, body: string | undefined): T | null {
  const parsed = body === undefined ? undefined : schema.safeParse(JSON.parse(body));
  return parsed?.success ? parsed.data : null;
}

/** Every unload ever recorded, what was expected of it and what came of it. */
export function createUnloadBook({ database, farm, clock }: UnloadBookParts) {
  const all = database.prepare<[number], { seq: number; body: string }>(
    'SELECT seq, body FROM unload_event WHERE seq > ? ORDER BY seq',
  );
  const byId = database.prepare<[string], string>('SELECT body FROM unload_event WHERE id = ?').pluck();
  const insert = database.prepare(
    'INSERT INTO unload_event (id, t, recorded_at, unload, kind, body) VALUES (?, ?, ?, ?, ?, ?)',
  );
  const planOf = database.prepare<[string], string>('SELECT body FROM unload_plan WHERE unload = ?').pluck();
  const dosesOf = database
    .prepare<[string], string>('SELECT doses_before FROM unload_plan WHERE unload = ?')
    .pluck();
  const insertPlan = database.prepare(
    'INSERT OR IGNORE INTO unload_plan (unload, body, doses_before) VALUES (?, ?, ?)',
  );
  const reportOf = database
    .prepare<[string], string>('SELECT body FROM unload_report WHERE unload = ?')
    .pluck();
  const insertReport = database.prepare('INSERT OR REPLACE INTO unload_report (unload, body) VALUES (?, ?)');

  const beliefOf = database
    .prepare<[string], string>('SELECT body FROM load_belief WHERE container = ?')
    .pluck();
  const insertBelief = database.prepare('INSERT OR REPLACE INTO load_belief (container, body) VALUES (?, ?)');

  const events = new Map<string, UnloadEvent[]>();
  const derived = new Map<string, UnloadState | undefined>();
  /** Of those underway alone, which are asked about every second: there are hours of curves in each. */
  const plans = new Map<string, UnloadPlan | null>();
  /** Of reports that lists asked for, by unload: a report is long, and lists name hundreds. */
  const peaks = new Map<string, Peaks>();
  let readTo = 0;

  /** Takes in what was recorded since. */
  const catchUp = () => {
    for (const { seq, body } of all.all(readTo)) {
      const event = JSON.parse(body) as UnloadEvent;
      const list = [...(events.get(event.unload) ?? []), event];
      events.set(event.unload, list);
      derived.set(event.unload, deriveUnload(list));
      plans.delete(event.unload);
      readTo = seq;
    }
  };
  catchUp();

  const states = (): UnloadState[] => [...derived.values()].filter((state) => state !== undefined);
  const underway = () => states().filter(({ stage }) => stage === 'underway');
  const planKept = (id: string): UnloadPlan | null => {
    const known = plans.get(id);
    if (known !== undefined) return known;
    const plan = readable(unloadPlan, planOf.get(id));
    if (derived.get(id)?.stage === 'underway') plans.set(id, plan);
    return plan;
  };
  const inOrder = (of: UnloadState[]): UnloadState[] => of.sort((a, b) => a.at - b.at);
  /** Loads that came into the same room while this one stood there, in order. */
  const joining = ({ id, room, at, endedAt }: UnloadState): UnloadState[] =>
    inOrder(
      states().filter(
        (one) =>
          one.id !== id &&
          one.room === room &&
          one.hasBegun &&
          one.stage !== 'withdrawn' &&
          one.at >= at &&
          one.at < (endedAt ?? Number.POSITIVE_INFINITY),
      ),
    );

  const report = (id: string): UnloadReport | null => readable(unloadReport, reportOf.get(id));
  const conclude = database.transaction((id: string, of: UnloadReport, taught: Taught | null): void => {
    insertReport.run(id, JSON.stringify(of));
    if (taught !== null) insertBelief.run(taught.container, JSON.stringify(taught.belief));
  });

  return {
    /**
     * Checks an event against the farm and what is known, and stores it. The same event sent twice is stored once.
     *
     * @returns whether it is new.
     * @throws AppError that says what is wrong, where, and how to mend it.
     */
    record(given: UnloadEvent): boolean {
      const event = parseUnloadEvent(given);
      if (isRepeatedEvent(event, byId.get(event.id))) return false;
      const now = clock.now();
      const known = { farm: farm(), now, events: events.get(event.unload) ?? [], underway: underway() };
      checkUnloadEvent(event, known);
      insert.run(event.id, event.t, now, event.unload, event.kind, JSON.stringify(event));
      catchUp();
      return true;
    },
    /** Every unload that was scheduled or begun, in order of beginning. */
    states: (): UnloadState[] => inOrder(states()),
    underway,
    state: (id: string): UnloadState | undefined => derived.get(id),
    /** Questions nobody has answered. */
    asked: (): UnloadAsked[] => [...events.values()].flatMap((list) => askedOf(list) ?? []),
    /** Questions that were answered with no, the latest first. */
    denied: () =>
      [...events.values()].flatMap((list) => deniedOf(list) ?? []).sort((a, b) => b.askedAt - a.askedAt),
    events: (id: string): UnloadEvent[] => [...(events.get(id) ?? [])],
    everything: (): UnloadEvent[] => [...events.values()].flat(),

    /** What was expected as it began: written once, never changed. */
    plan: planKept,
    joining,
    /**
     * What is expected of the room in which a load stands: the plan of the one that came in last, which counts
     * those before it.
     */
    roomPlan(of: UnloadState): UnloadPlan | null {
      const plans = [of, ...joining(of)].flatMap(({ id }) => planKept(id) ?? []);
      return plans.at(-1) ?? null;
    },
    keepPlan(id: string, plan: UnloadPlan, before: DosesBefore): void {
      insertPlan.run(id, JSON.stringify(plan), JSON.stringify(before));
      plans.delete(id);
    },
    /** Exposure of cohorts in the room as it began. */
    dosesBefore: (id: string): DosesBefore => JSON.parse(dosesOf.get(id) ?? '{}') as DosesBefore,
    report,
    /** What lists tell of a report, at hand after the first time. */
    peaks(id: string): Peaks {
      const known = peaks.get(id) ?? peaksOf(report(id));
      peaks.set(id, known);
      return known;
    },
    /** Whether what came of it was put down, readable or not. */
    isConcluded: (id: string): boolean => reportOf.get(id) !== undefined,
    /** What was learned of loads of a kind of container. */
    belief: (container: string): LoadBelief =>
      readable(loadBelief, beliefOf.get(container)) ?? firstLoadBelief,
    /** Puts down what came of it and what it taught of loads of its kind, or neither: nothing is learned twice. */
    conclude(id: string, of: UnloadReport, taught: Taught | null): void {
      conclude(id, of, taught);
      peaks.delete(id);
    },
  };
}
export type UnloadBook = ReturnType<typeof createUnloadBook>;
