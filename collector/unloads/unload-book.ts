import type { Database } from 'better-sqlite3';
import type { z } from 'zod';
import type { Farm } from '../../shared/farm/farm.ts';
import type { Clock, EpochMs } from '../../shared/time.ts';
import { askedOf, deriveUnload, type UnloadAsked, type UnloadState } from '../../shared/unload/derive.ts';
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
  const all = database.prepare<[number], { seq: number; recordedAt: number; body: string }>(
    'SELECT seq, recorded_at AS recordedAt, body FROM unload_event WHERE seq > ? ORDER BY seq',
  );
  const byId = database.prepare<[string], string>('SELECT body FROM unload_event WHERE id = ?').pluck();
  const insert = database.prepare(
    'INSERT INTO unload_event (id, t, recorded_at, unload, kind, body) VALUES (?, ?, ?, ?, ?, ?)',
  );
  const planOf = database.prepare<[string], string>('SELECT body FROM unload_plan WHERE unload = ?').pluck();
  const dosesOf = database
    .prepare<[string], string>('SELECT doses_before FROM unload_plan WHERE unload = ?')
    .pluck();
  const lateOf = database.prepare<[string], number>('SELECT late FROM unload_plan WHERE unload = ?').pluck();
  const insertPlan = database.prepare(
    'INSERT OR IGNORE INTO unload_plan (unload, body, doses_before, late) VALUES (?, ?, ?, ?)',
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
  const knownAt = new Map<string, EpochMs>();
  let readTo = 0;

  /** Takes in what was recorded since. */
  const catchUp = () => {
    for (const { seq, recordedAt, body } of all.all(readTo)) {
      const event = JSON.parse(body) as UnloadEvent;
      knownAt.set(event.id, recordedAt);
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
    states: (): UnloadState[] => states().sort((a, b) => a.at - b.at),
    underway,
    state: (id: string): UnloadState | undefined => derived.get(id),
    /** Questions nobody has answered. */
    asked: (): UnloadAsked[] => [...events.values()].flatMap((list) => askedOf(list) ?? []),
    /** When an event was told, which may be later than it happened. */
    toldAt: (event: UnloadEvent): EpochMs => knownAt.get(event.id) ?? event.t,
    events: (id: string): UnloadEvent[] => [...(events.get(id) ?? [])],
    everything: (): UnloadEvent[] => [...events.values()].flat(),

    /** What was expected as it began: written once, never changed. */
    plan(id: string): UnloadPlan | null {
      const known = plans.get(id);
      if (known !== undefined) return known;
      const plan = readable(unloadPlan, planOf.get(id));
      if (derived.get(id)?.stage === 'underway') plans.set(id, plan);
      return plan;
    },
    keepPlan(id: string, plan: UnloadPlan, before: DosesBefore, { late = false } = {}): void {
      insertPlan.run(id, JSON.stringify(plan), JSON.stringify(before), late ? 1 : 0);
      plans.delete(id);
    },
    /** Whether the plan was there while the unload was underway. */
    wasPlanned: (id: string): boolean => lateOf.get(id) === 0,
    /** Exposure of cohorts in the room as it began. */
    dosesBefore: (id: string): DosesBefore => JSON.parse(dosesOf.get(id) ?? '{}') as DosesBefore,
    report: (id: string): UnloadReport | null => readable(unloadReport, reportOf.get(id)),
    /** Whether what came of it was put down, readable or not. */
    isConcluded: (id: string): boolean => reportOf.get(id) !== undefined,
    /** What was learned of loads of a kind of container. */
    belief: (container: string): LoadBelief =>
      readable(loadBelief, beliefOf.get(container)) ?? firstLoadBelief,
    /** Puts down what came of it and what it taught of loads of its kind, or neither: nothing is learned twice. */
    conclude: database.transaction((id: string, report: UnloadReport, taught: Taught | null): void => {
      insertReport.run(id, JSON.stringify(report));
      if (taught !== null) insertBelief.run(taught.container, JSON.stringify(taught.belief));
    }),
  };
}
export type UnloadBook = ReturnType<typeof createUnloadBook>;
