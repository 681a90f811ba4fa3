import type { Database } from 'better-sqlite3';
import type { AlarmDetail, AlarmPrediction } from '../shared/alarm-detail.ts';
import type { AlarmJournalEntry, AlarmView } from '../shared/alarms.ts';
import { type EpochMs, hourMs, minuteMs, secondMs } from '../shared/time.ts';
import { createOutboxViews } from './delivery/outbox-views.ts';
import { type AlarmEntry, channelsOf } from './entries.ts';
import type { AlarmJournal } from './journal.ts';
import type { Roster } from './roster.ts';

/** The span drawn: so long before it began, and back from now when it is calm. */
const leadMs = 3 * hourMs;
const calmMs = 12 * hourMs;
const longestMs = 7 * 24 * hourMs;
const journalLines = 100;

interface DetailNeeds {
  database: Database;
  roster: Roster;
  journal: AlarmJournal;
  predictionFor: (entry: AlarmEntry) => AlarmPrediction | null;
  /** What holds alarms back without being one, in words; undefined when it is none that stands now. */
  declaredTitle: (by: string) => string | undefined;
}

/** What alarms know of one; bags and routes are known elsewhere. */
export interface AlarmDetailOfBook extends Omit<AlarmDetail, 'bags' | 'escalation' | 'course'> {
  /** What is computed of bags and shows it, with the span worth drawing. */
  computed: Omit<NonNullable<AlarmDetail['course']>, 'cohort'> | null;
}

/** Puts together what the page of one alarm shows, but for the bags at stake and the route. */
export function createAlarmDetails({ database, roster, journal, predictionFor, declaredTitle }: DetailNeeds) {
  const messages = createOutboxViews(database);

  const related = (alarms: readonly (AlarmEntry | undefined)[]) =>
    alarms.flatMap((one) => (one ? { alarm: one.definition.id, title: one.title } : []));

  return (entry: AlarmEntry, alarm: AlarmView, now: EpochMs): AlarmDetailOfBook => {
    const { definition, memory } = entry;
    const limit = entry.kind === 'signal' ? entry.limit : null;
    const { latching, reAlarmMs, shelveCapMs } = definition.rule;
    const channels = channelsOf(entry);
    const from = Math.max(
      now - longestMs,
      memory.raisedAt === null ? now - calmMs : Math.min(memory.raisedAt - leadMs, now - leadMs),
    );
    const shownBy = entry.kind === 'signal' ? entry.definition.shownBy : undefined;
    const lines: AlarmJournalEntry[] = journal.read({ alarm: definition.id, limit: journalLines });
    return {
      alarm,
      name: definition.name,
      unit: definition.unit,
      rule: {
        limit: limit && Number.isFinite(limit.limit) ? limit.limit : null,
        wrong: limit?.side ?? null,
        deadband: limit?.deadband ?? null,
        onDelayS: limit && limit.onDelayMs / secondMs,
        offDelayS: limit && limit.offDelayMs / secondMs,
        latching,
        reAlarmMin: reAlarmMs === null ? null : reAlarmMs / minuteMs,
        shelveCapMin: shelveCapMs / minuteMs,
        route: definition.route,
      },
      heldBackBy: memory.suppressedBy.flatMap((by) => {
        const title = roster.entries.get(by)?.title ?? declaredTitle(by);
        return title === undefined ? [] : { alarm: by, title };
      }),
      holdsBack: related(
        roster
          .childrenOf(definition.id)
          .filter((child) => child.memory.suppressedBy.includes(definition.id) && child.memory.holds),
      ),
      curve: channels.length === 0 ? null : { channels, from, to: now },
      computed: shownBy === undefined ? null : { of: shownBy, from, to: now },
      prediction: predictionFor(entry),
      journal: lines,
      deliveries: messages.deliveries(definition.id, journalLines),
    };
  };
}
