import type { Database } from 'better-sqlite3';
import type { AlarmJournalEntry } from '../shared/alarms.ts';
import type { Farm } from '../shared/farm/farm.ts';
import { itself } from '../shared/itself.ts';
import type { EpochMs } from '../shared/time.ts';
import type { MailReason } from './delivery/email.ts';
import type { Notifier } from './delivery/notifier.ts';
import { type AlarmEntry, limitOf } from './entries.ts';
import { createAlarmJournal } from './journal.ts';
import type { AlarmRecords } from './records.ts';
import { type AlarmEvent, step } from './state.ts';

interface TransitionNeeds {
  database: Database;
  records: AlarmRecords;
  notifier: Notifier;
  /** Called before the first write of a transition. */
  touch: () => void;
  /** Called when a message was put in the outbox. */
  onMessage: () => void;
  /** Called when an alarm may have become the cause of others, or ceased to be one. */
  onCause: (entry: AlarmEntry, t: EpochMs) => void;
}

/**
 * Carries events through the state machine and writes what follows, journal line, messages and new
 * state, into the transaction that is open.
 */
export function createTransitions({
  database,
  records,
  notifier,
  touch,
  onMessage,
  onCause,
}: TransitionNeeds) {
  const journal = createAlarmJournal(database);

  const note = (
    entry: AlarmEntry,
    t: EpochMs,
    line: Pick<AlarmJournalEntry, 'event' | 'from' | 'to'>,
    who = itself,
    why: string | null = null,
  ): number => {
    const { definition, title, value } = entry;
    return journal.append({
      t,
      alarm: definition.id,
      title,
      ...line,
      who,
      why,
      value,
      limit: limitOf(entry),
    });
  };

  const tell = (
    farm: Farm,
    entry: AlarmEntry,
    t: EpochMs,
    began: EpochMs,
    seq: number,
    reason: MailReason,
  ) => {
    const transition = `${t.toString(36)}.${seq}`;
    entry.thread ??= transition;
    const { id, advice, consequence, respondWithinMin, priority, route } = entry.definition;
    const tidings = {
      ...{ alarm: id, title: entry.title, advice, consequence, respondWithinMin, priority, route },
      ...{ value: entry.value, limit: limitOf(entry), reason, raisedAt: began, t },
      ...{ seq, transition, thread: entry.thread },
    };
    if (reason === 'returned') notifier.returned(farm, tidings);
    else notifier.annunciate(farm, tidings);
    onMessage();
  };

  return {
    note,

    save: ({ definition, memory, title, value, peak, thread, ...kind }: AlarmEntry) => {
      const words = kind.kind === 'system' ? kind.words : null;
      records.save({ alarm: definition.id, memory, title, value, peak, thread, words });
    },

    /** One event of one alarm. Returns why it was refused, or null; a refused event writes nothing. */
    apply(farm: Farm, entry: AlarmEntry, event: AlarmEvent, who = itself, why: string | null = null) {
      const before = entry.memory;
      const { memory, effects, refused } = step(entry.definition.rule, before, event);
      if (refused !== null || memory === before) return refused;
      touch();
      entry.memory = memory;
      // Memory at rest has forgotten when it began; the message still says so.
      const began = memory.raisedAt ?? before.raisedAt ?? event.t;
      let seq = 0;
      for (const effect of effects) {
        if (effect.type === 'journal') seq ||= note(entry, event.t, effect, who, why);
        else if (effect.type === 'annunciate') tell(farm, entry, event.t, began, seq, effect.because);
        else if (entry.thread !== null) tell(farm, entry, event.t, began, seq, 'returned');
      }
      if (memory.live === 'normal' && !memory.holds) {
        entry.thread = null;
        entry.peak = null;
      }
      this.save(entry);
      const isShelved = memory.shelved !== null;
      const mattersToOthers =
        memory.holds !== before.holds ||
        memory.outOfService !== before.outOfService ||
        isShelved !== (before.shelved !== null);
      if (mattersToOthers) onCause(entry, event.t);
      return null;
    },
  };
}
export type Transitions = ReturnType<typeof createTransitions>;
