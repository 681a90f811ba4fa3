import type { AlarmJournalEntry } from '../../shared/alarms.ts';
import type { Farm } from '../../shared/farm/farm.ts';
import { itself } from '../../shared/itself.ts';
import type { RecordedReading } from '../../shared/ports.ts';
import type { EpochMs } from '../../shared/time.ts';
import { type HeldSpan, unloadHold } from '../../shared/unload/watched.ts';
import { createCauses } from '../causes.ts';
import { isCore } from '../core-log.ts';
import type { SignalDefinition } from '../definitions/definition.ts';
import { type AlarmEntry, entriesOf, limitOf } from '../entries.ts';
import { createSignalJudge } from '../signal-judge.ts';
import { type AlarmEvent, dueAt, step } from '../state.ts';

/** A line as the journal would have had it, with how far the value had gone by then. */
export interface ReplayLine extends AlarmJournalEntry {
  peak: number | null;
}

/** Nothing is kept: a replay remembers by itself. */
const forgetful = {
  saveWatch() {},
  saveSignal() {},
  signal: () => null,
  loadWatches: () => [],
};

/**
 * Alarms over readings of the past: the judge, conditions, causes and state machine of the live alarms, with
 * a list in place of journal and messages. Nobody acts: an alarm is raised and clears. Unloads that were
 * underway then hold alarms back as they did.
 */
export function createReplay(
  farm: Farm,
  definitions: readonly SignalDefinition[],
  startAt: EpochMs,
  held: readonly HeldSpan[] = [],
) {
  const entries = entriesOf({ signals: [...definitions], silences: [], groups: [] }, startAt);
  const lines: ReplayLine[] = [];
  /** Alarms that move by the clock alone, so that not all are asked before every reading. */
  const timed = new Set<AlarmEntry>();

  const note = (
    entry: AlarmEntry,
    t: EpochMs,
    line: Pick<AlarmJournalEntry, 'event' | 'from' | 'to'>,
  ): number => {
    const { definition, title, value, peak } = entry;
    const { event, from, to } = line;
    const alarm = definition.id;
    const seq = lines.length + 1;
    const limit = limitOf(entry);
    return lines.push({
      seq,
      t,
      alarm,
      title,
      event,
      from,
      to,
      who: itself,
      why: null,
      value,
      limit,
      peak,
    });
  };
  const apply = (entry: AlarmEntry, event: AlarmEvent): null => {
    if (event.type === 'condition' && event.holds && !entry.memory.holds) causes.foresee(entry, event.t);
    const before = entry.memory;
    const { memory, effects } = step(entry.definition.rule, before, event);
    if (memory === before) return null;
    entry.memory = memory;
    for (const effect of effects) if (effect.type === 'journal') note(entry, event.t, effect);
    if (memory.live === 'normal' && !memory.holds) entry.peak = null;
    if (dueAt(entry.definition.rule, memory) === null) timed.delete(entry);
    else timed.add(entry);
    if (memory.holds !== before.holds) causes.follow(entry, event.t);
    return null;
  };
  const childrenOf = (id: string) =>
    [...entries.values()].filter(({ definition }) => definition.causes.includes(id));
  let at = startAt;
  const isDeclared = (by: string) =>
    held.some(({ room, from, to }) => unloadHold(room) === by && from <= at && at < to);
  const causes = createCauses({ entries, childrenOf }, apply, isDeclared);
  /** Beginnings and ends of unloads that are still to come. */
  const edges = held
    .flatMap(({ room, from, to }) => [from, to].map((t) => ({ t, by: unloadHold(room) })))
    .filter(({ t }) => Number.isFinite(t) && t > startAt)
    .sort((a, b) => a.t - b.t);
  const judge = createSignalJudge({
    records: forgetful,
    transitions: { note },
    guard: { touch() {}, look() {} },
    apply,
  });
  judge.index(farm, entries);

  const runTimers = (now: EpochMs) => {
    while (edges.length > 0 && edges[0]!.t <= now) {
      const { t, by } = edges.shift()!;
      at = t;
      causes.declared(by, t);
    }
    at = now;
    for (const entry of timed)
      for (;;) {
        const due = dueAt(entry.definition.rule, entry.memory);
        if (due === null || due > now) break;
        apply(entry, { type: 'timer', t: due });
      }
  };

  return {
    /** Readings in the order of their arrival. */
    read(channel: string, { t, value, quality, receivedAt }: RecordedReading): void {
      runTimers(receivedAt);
      if (isCore(channel)) judge.count(channel, t, value);
      else judge.judge({ channel, t, value, raw: value, quality, retained: false, receivedAt });
    },
    /** Whether readings of a channel within these extremes could change anything as things stand. */
    couldMatter: judge.couldMatter,
    /** Ends at an instant: what is due by then has happened. */
    finish(t: EpochMs): readonly ReplayLine[] {
      runTimers(t);
      return lines;
    },
  };
}
export type Replay = ReturnType<typeof createReplay>;
