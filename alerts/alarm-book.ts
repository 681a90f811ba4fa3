import type { Database } from 'better-sqlite3';
import type { AlarmAct, AlarmJournalEntry, AlarmView } from '../shared/alarms.ts';
import { AppError } from '../shared/errors.ts';
import type { Farm } from '../shared/farm/farm.ts';
import type { JournalQuestion } from '../shared/ports.ts';
import type { Reading } from '../shared/readings.ts';
import { type Clock, type EpochMs, minuteMs } from '../shared/time.ts';
import { createCommitGuard } from './commit-guard.ts';
import { isSilent } from './conditions/silence.ts';
import { definitionsOf } from './definitions.ts';
import { createOutbox } from './delivery/outbox.ts';
import { type AlarmEntry, entriesOf, recall, type SilenceEntry, systemEntry, viewOf } from './entries.ts';
import { byItself, createAlarmJournal } from './journal.ts';
import { createLimitJudge } from './limit-judge.ts';
import { createAlarmRecords, type SystemWords } from './records.ts';
import { type AlarmEvent, calmMemory, dueAt, needsAcknowledgement, shownState } from './state.ts';
import { createTransitions } from './transitions.ts';

/** Ticks come each second; a gap beyond this is a stepped clock or a process that slept, not silence. */
const longestTickGapMs = 90_000;

export interface AlarmBookNeeds {
  /** With this part's migrations applied. */
  database: Database;
  farm: Farm;
  clock: Clock;
  /** Alarms look different now; called after the commit. */
  onChange: () => void;
  /** Messages were queued and committed: the sender has work. */
  onQueued: () => void;
}

/**
 * All alarms of a site. States live in memory and in the database alike, written in the transaction of
 * the transition; after a restart, or when a caller's transaction was rolled back, memory follows the
 * database again.
 */
export function createAlarmBook({ database, farm: firstFarm, clock, onChange, onQueued }: AlarmBookNeeds) {
  const records = createAlarmRecords(database);
  const journal = createAlarmJournal(database);
  const outbox = createOutbox(database);
  const guard = createCommitGuard({
    database,
    records,
    reload: () => load(),
    committed({ changed, queued }) {
      if (changed) onChange();
      if (queued) onQueued();
    },
  });
  const { touch, queue: onMessage } = guard;
  const transitions = createTransitions({ database, records, clock, touch, onMessage });
  const apply = (entry: AlarmEntry, event: AlarmEvent, who?: string, why?: string | null) =>
    transitions.apply(farm, entry, event, who, why);
  const limits = createLimitJudge({ records, transitions, guard, apply });

  let farm = firstFarm;
  let entries = new Map<string, AlarmEntry>();
  /** Channel -> its sensor's silence alarm. */
  let silences = new Map<string, SilenceEntry>();
  let lastTick = clock.now();
  /** System alarms that could not be written (a full disk): shown all the same, and tried again. */
  const unwritten = new Map<string, SystemWords>();

  const load = () => {
    const now = clock.now();
    const known = entries;
    entries = entriesOf(definitionsOf(farm), now);
    for (const stored of records.load()) {
      const entry =
        entries.get(stored.alarm) ?? (stored.words && systemEntry(stored.alarm, stored.words, now));
      if (!entry) continue;
      recall(entry, stored);
      entries.set(stored.alarm, entry);
    }
    for (const [id, entry] of entries) {
      const before = known.get(id);
      if (entry.kind !== 'silence' || before?.kind !== 'silence') continue;
      // A sensor that is now expected more often has until then to speak: it was not silent before.
      const { everyMs } = entry.definition;
      entry.heardAt = before.definition.everyMs === everyMs ? before.heardAt : now;
    }
    for (const [id, words] of unwritten) showUnwritten(id, words);
    limits.index(farm, entries);
    silences = new Map();
    for (const channel of farm.channels.values()) {
      const silence = entries.get(`silent/${channel.sensor.id}`);
      if (silence?.kind === 'silence') silences.set(channel.id, silence);
    }
  };

  const showUnwritten = (id: string, words: SystemWords) => {
    const entry = systemEntry(id, words, clock.now());
    const { live } = entries.get(id)?.memory ?? {};
    entry.memory = { ...entry.memory, holds: true, raisedAt: clock.now(), live: 'unacknowledged' };
    if (live === 'acknowledged') entry.memory.live = live;
    entry.title = words.title;
    entries.set(id, entry);
  };

  const heard = (entry: SilenceEntry, { receivedAt: t }: Reading) => {
    entry.heardAt = t;
    if (!entry.memory.holds) return;
    entry.title = `${entry.definition.name}: it speaks again`;
    apply(entry, { type: 'condition', t, holds: false, since: t });
  };
  const fallSilent = (entry: SilenceEntry, t: EpochMs) => {
    const { name, everyMs } = entry.definition;
    entry.title = `${name}: nothing heard, expected every ${everyMs / 1000} s`;
    apply(entry, { type: 'condition', t, holds: true, since: entry.heardAt });
  };
  const runTimers = (entry: AlarmEntry, now: EpochMs) => {
    for (;;) {
      const due = dueAt(entry.definition.rule, entry.memory);
      if (due === null || due > now) return;
      apply(entry, { type: 'timer', t: due });
    }
  };

  const entryOf = (alarm: string): AlarmEntry => {
    const entry = entries.get(alarm);
    if (!entry) throw new AppError('not-found', `There is no alarm '${alarm}' on this farm.`);
    return entry;
  };
  const view = (entry: AlarmEntry): AlarmView =>
    viewOf(
      entry,
      entry.thread === null
        ? { waiting: 0, sent: 0, failed: 0 }
        : outbox.counts(entry.definition.id, entry.thread),
    );

  const writeSystem = (id: string, words: SystemWords, abnormal: boolean, now: EpochMs) =>
    guard.run(() => {
      touch();
      const entry = systemEntry(id, words, now);
      const stored = records.load().find(({ alarm }) => alarm === id);
      if (stored) recall(entry, stored);
      entry.title = words.title;
      entries.set(id, entry);
      apply(entry, { type: 'condition', t: now, holds: abnormal, since: now });
      transitions.save(entry);
    });

  /** Closes alarms that the farm file no longer knows, and mends what came back damaged. */
  const recover = () =>
    guard.run(() => {
      load();
      const t = clock.now();
      for (const stored of records.load()) {
        const entry = entries.get(stored.alarm);
        if (!entry) {
          touch();
          const from = stored.memory ? shownState(stored.memory) : 'normal';
          const why = 'the farm file no longer has it';
          const { alarm, title, value } = stored;
          const line = { t, alarm, title, event: 'definition-removed', from, value, limit: null };
          if (from !== 'normal') journal.append({ ...line, to: 'normal', who: byItself, why });
          records.drop(alarm);
        } else if (stored.shelvingLost) apply(entry, { type: 'shelving-lost', t });
        else if (stored.memory === null) {
          touch();
          entry.memory = calmMemory(t);
          transitions.note(entry, t, { event: 'memory-lost', from: 'normal', to: 'normal' });
          transitions.save(entry);
        }
      }
    });
  recover();

  return {
    /**
     * Judges readings inside the caller's open transaction. Only good, fresh ones ring; late ones are
     * judged and journalled. Call `afterCommit` once the transaction is committed.
     */
    observe(readings: readonly Reading[]): void {
      guard.begin();
      for (const reading of readings) {
        if (reading.retained) continue;
        const silence = silences.get(reading.channel);
        if (silence) heard(silence, reading);
        limits.judge(reading);
      }
    },

    afterCommit: guard.commit,

    /**
     * To be called each second: silence, ends of shelving, re-alarms. Takes a transaction only when there is
     * something to write, and throws what the database throws; the next tick tries again.
     */
    tick(now: EpochMs): void {
      guard.begin();
      const gap = now - lastTick;
      lastTick = now;
      const stepped = gap < 0 || gap > longestTickGapMs;
      const due: AlarmEntry[] = [];
      const silent: SilenceEntry[] = [];
      for (const entry of entries.values()) {
        if (stepped && entry.kind === 'silence') entry.heardAt += gap;
        const at = dueAt(entry.definition.rule, entry.memory);
        if (at !== null && at <= now) due.push(entry);
        if (entry.kind !== 'silence' || entry.memory.holds) continue;
        if (isSilent(entry.heardAt, entry.definition.everyMs, now)) silent.push(entry);
      }
      for (const [id, words] of unwritten) {
        writeSystem(id, words, true, now);
        unwritten.delete(id);
      }
      if (due.length + silent.length === 0) return;
      guard.run(() => {
        for (const entry of due) runTimers(entry, now);
        for (const entry of silent) fallSilent(entry, now);
      });
    },

    /** What a person does to an alarm. Throws AppError 'not-found', or 'conflict' with why it was refused. */
    act(alarm: string, act: AlarmAct, who: string): AlarmView {
      guard.begin();
      const entry = entryOf(alarm);
      const t = clock.now();
      const why = 'why' in act ? act.why : null;
      const event: AlarmEvent =
        act.act === 'shelve'
          ? { type: 'shelve', t, forMs: act.forMinutes * minuteMs, oneShot: act.oneShot }
          : { type: act.act, t };
      const refused = guard.run(() => apply(entry, event, who, why));
      if (refused !== null) throw new AppError('conflict', `'${entry.title}' was left as it is: ${refused}.`);
      return view(entry);
    },

    /**
     * An alarm about a part of the tool itself (disk, broker, store, delivery): what is so now. The same again
     * changes nothing. When it cannot be written it is shown all the same, and written by a later tick.
     */
    system(part: string, { abnormal, ...words }: SystemWords & { abnormal: boolean }): void {
      guard.begin();
      const id = `system/${part}`;
      const known = entries.get(id);
      if (!abnormal) unwritten.delete(id);
      if ((known?.memory.holds ?? false) === abnormal && (!abnormal || known?.title === words.title)) return;
      try {
        writeSystem(id, words, abnormal, clock.now());
        unwritten.delete(id);
      } catch {
        if (!abnormal) return;
        unwritten.set(id, words);
        showUnwritten(id, words);
        onChange();
      }
    },

    /** Every alarm that is not plainly normal: ringing ones first, then by urgency, then the newest. */
    views(): AlarmView[] {
      guard.begin();
      return [...entries.values()]
        .filter((entry) => shownState(entry.memory) !== 'normal')
        .sort(byUrgency)
        .map(view);
    },

    /** One alarm in whatever state. Throws AppError 'not-found'. */
    view(alarm: string): AlarmView {
      guard.begin();
      return view(entryOf(alarm));
    },

    journal: (question: JournalQuestion): AlarmJournalEntry[] => journal.read(question),

    /** Takes a reloaded farm: known alarms keep their state, new ones begin, those that are gone are closed. */
    setFarm(next: Farm): void {
      guard.begin();
      farm = next;
      guard.look();
      recover();
    },
  };
}
export type AlarmBook = ReturnType<typeof createAlarmBook>;

const byUrgency = (a: AlarmEntry, b: AlarmEntry): number => {
  const rings = (entry: AlarmEntry) => (needsAcknowledgement(shownState(entry.memory)) ? 0 : 1);
  return (
    rings(a) - rings(b) || a.definition.priority - b.definition.priority || b.memory.since - a.memory.since
  );
};
