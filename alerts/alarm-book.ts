import type { Database } from 'better-sqlite3';
import type { AlarmAct, AlarmJournalEntry, AlarmState, AlarmView, Priority } from '../shared/alarms.ts';
import { AppError } from '../shared/errors.ts';
import type { Farm } from '../shared/farm/farm.ts';
import type { CohortForecast } from '../shared/forecasts.ts';
import { itself } from '../shared/itself.ts';
import type { JournalQuestion } from '../shared/ports.ts';
import type { Reading } from '../shared/readings.ts';
import type { RoomsKnown } from '../shared/room/rooms-known.ts';
import { type Clock, type EpochMs, minuteMs } from '../shared/time.ts';
import type { WatchedUnload } from '../shared/unload/watched.ts';
import { createBagWatch } from './bag-watch.ts';
import { createCauses } from './causes.ts';
import { createCommitGuard } from './commit-guard.ts';
import { createCoreLog } from './core-log.ts';
import { createDeclared } from './declared.ts';
import type { AckLinks } from './delivery/ack-links.ts';
import { createNotifier } from './delivery/notifier.ts';
import { createOutboxViews } from './delivery/outbox-views.ts';
import { type AlarmDetailOfBook, createAlarmDetails } from './detail.ts';
import { type AlarmEntry, viewOf } from './entries.ts';
import { createHoldLog } from './hold-log.ts';
import { createAlarmJournal, limitsChanged } from './journal.ts';
import { createAlarmRecords, type SystemWords } from './records.ts';
import { createRoster } from './roster.ts';
import { createSensorHealth } from './sensor-health.ts';
import { createSignalJudge } from './signal-judge.ts';
import { createSilenceWatch } from './silence-watch.ts';
import { type AlarmEvent, calmMemory, dueAt, needsAcknowledgement, shownState } from './state.ts';
import { createTransitions } from './transitions.ts';
import { createUnloadWatch, unloadAlarm } from './unload-watch.ts';
import { absenceWords, clockWords, longestTickGapMs } from './watch-gap.ts';

/** What is over as soon as it is known, shown for a while and then for a person to acknowledge. */
const passing = ['system/clock', 'system/collector'];
const passingMs = minuteMs;

export interface AlarmBookNeeds {
  /** With this part's migrations applied. */
  database: Database;
  farm: Farm;
  clock: Clock;
  /** All bags as they are forecast now; null while nobody knows. */
  bags?: () => Iterable<CohortForecast> | null;
  /** Unloads that are underway; asked often. */
  unloads?: () => readonly WatchedUnload[];
  /** What rooms taught, for alarms that look ahead; plain trends alone without it. */
  rooms?: RoomsKnown | null;
  /** For links in messages by which an alarm is acknowledged. */
  links?: AckLinks | null;
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
export function createAlarmBook(needs: AlarmBookNeeds) {
  const { database, farm: firstFarm, clock, onChange, onQueued } = needs;
  const records = createAlarmRecords(database);
  const journal = createAlarmJournal(database);
  const deliveries = createOutboxViews(database);
  const guard = createCommitGuard({
    database,
    records,
    reload: () => load(),
    committed({ changed, queued }) {
      if (changed) onChange();
      if (queued) onQueued();
    },
  });
  const roster = createRoster(records, clock, needs.rooms ?? null);
  const transitions = createTransitions({
    ...{ database, records, touch: guard.touch, onMessage: guard.queue },
    notifier: createNotifier(database, clock, needs.links ?? null),
    onCause: (entry, t) => causes.follow(entry, t),
  });
  const apply = (entry: AlarmEntry, event: AlarmEvent, who?: string, why?: string | null) => {
    if (event.type === 'condition' && event.holds && !entry.memory.holds) causes.foresee(entry, event.t);
    return transitions.apply(farm, entry, event, who, why);
  };
  const underway = () => needs.unloads?.() ?? [];
  const isBeyond = (room: string) => roster.entries.get(unloadAlarm(room, 'beyond'))?.memory.holds ?? false;
  const declared = createDeclared(underway, isBeyond, clock.now());
  const causes = createCauses(roster, apply, declared.has);
  const holds = createHoldLog(database, guard.touch);
  const silence = createSilenceWatch(roster, apply, underway);
  const signals = createSignalJudge({ records, transitions, guard, apply });
  const health = createSensorHealth(signals.count);
  const coreLog = createCoreLog(database);
  const bagWatch = createBagWatch((signal, t, value, detail) => {
    coreLog.note(signal, t, value);
    signals.count(signal, t, value, detail);
  });
  const unloadWatch = createUnloadWatch(signals.count);
  /** Of the alarm's own curves, or of those that warn before it. */
  const predictionFor = (entry: AlarmEntry) => {
    const { id } = entry.definition;
    const warning = roster.entries.get(`predicted-${id}`) ?? entry;
    const found = [entry, warning]
      .flatMap((one) => (one.kind === 'signal' ? one.watches : []))
      .flatMap(({ entry: { definition }, signal }) => {
        const outlook = signals.outlook(signal);
        const channel = definition.watched.get(signal)?.channel;
        return outlook && channel ? { channel, ...outlook } : [];
      });
    return found.sort((a, b) => a.crosses.likely - b.crosses.likely)[0] ?? null;
  };
  const details = createAlarmDetails({
    ...{ database, roster, journal, predictionFor },
    declaredTitle: declared.title,
  });
  let farm = firstFarm;
  let lastTick = clock.now();
  let lastMark = Number.NEGATIVE_INFINITY;

  const load = () => {
    roster.load(farm);
    signals.index(farm, roster.entries);
    health.setFarm(farm);
    bagWatch.setFarm(farm);
    unloadWatch.setFarm(farm);
  };

  const runTimers = (entry: AlarmEntry, now: EpochMs) => {
    for (;;) {
      const due = dueAt(entry.definition.rule, entry.memory);
      if (due === null || due > now) return;
      apply(entry, { type: 'timer', t: due });
    }
  };

  const entryOf = (alarm: string): AlarmEntry => {
    const entry = roster.entries.get(alarm);
    if (!entry) throw new AppError('not-found', `There is no alarm '${alarm}' on this farm.`);
    return entry;
  };
  const view = (entry: AlarmEntry): AlarmView =>
    viewOf(
      entry,
      entry.thread === null
        ? { waiting: 0, sent: 0, failed: 0 }
        : deliveries.counts(entry.definition.id, entry.thread),
    );

  const writeSystem = (id: string, words: SystemWords, abnormal: boolean, t: EpochMs) =>
    guard.run(() => {
      guard.touch();
      const entry = roster.system(id, words);
      apply(entry, { type: 'condition', t, holds: abnormal, since: t });
      transitions.save(entry);
    });

  /** Closes alarms that the farm file no longer knows, and mends what came back damaged. */
  const recover = () =>
    guard.run(() => {
      load();
      const t = clock.now();
      for (const stored of records.load()) {
        const entry = roster.entries.get(stored.alarm);
        if (!entry) {
          guard.touch();
          const from = stored.memory ? shownState(stored.memory) : 'normal';
          const why = 'the farm file no longer has it';
          const { alarm, title, value } = stored;
          const line = { t, alarm, title, event: 'definition-removed', from, value, limit: null };
          if (from !== 'normal') journal.append({ ...line, to: 'normal', who: itself, why });
          records.drop(alarm);
        } else if (stored.shelvingLost) apply(entry, { type: 'shelving-lost', t });
        else if (stored.memory === null) {
          guard.touch();
          entry.memory = calmMemory(t);
          transitions.note(entry, t, { event: 'memory-lost', from: 'normal', to: 'normal' });
          transitions.save(entry);
        }
      }
      causes.mend(t);
      holds.note(declared.rooms(), t);
    });
  recover();
  const absence = absenceWords(records.watchedAt(), clock.now());
  if (absence) writeSystem('system/collector', absence, true, clock.now());

  const clockMoved = (byMs: number, now: EpochMs) => {
    silence.clockMoved(byMs);
    if (byMs < 0) {
      guard.run(() => {
        for (const entry of roster.entries.values())
          apply(entry, { type: 'clock-set-back', byMs: -byMs, t: now });
      });
      signals.clockSetBack(farm, roster.entries, now);
      health.clockSetBack();
    }
    if (Math.abs(byMs) > longestTickGapMs) writeSystem('system/clock', clockWords(byMs), true, now);
  };

  return {
    /**
     * The readings as they are to be stored and judged: lone spikes, and all that a condemned sensor says,
     * are marked suspect. To be asked before the transaction that stores them.
     */
    appraise(readings: readonly Reading[]): readonly Reading[] {
      let marked: Reading[] | null = null;
      readings.forEach((reading, index) => {
        const next = health.appraise(reading, roster.isCondemned(reading.channel));
        if (next === reading) return;
        marked ??= [...readings];
        marked[index] = next;
      });
      return marked ?? readings;
    },

    /** A channel's sensor answered, but could not measure (85.000 or -127 of a 1-wire part): nothing to store. */
    refused(channel: string): void {
      guard.begin();
      guard.run(() => health.refused(channel, clock.now()));
    },

    /**
     * Judges readings inside the caller's open transaction. Only good, fresh ones ring; late ones are
     * judged and journalled. Call `afterCommit` once the transaction is committed.
     */
    observe(readings: readonly Reading[]): void {
      guard.begin();
      for (const reading of readings) {
        if (reading.retained) continue;
        silence.heard(reading);
        health.note(reading);
        signals.judge(reading);
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
      if (stepped) clockMoved(gap, now);
      const newMinute = now - lastMark >= minuteMs || now < lastMark;
      if (newMinute) {
        records.markWatched(now);
        lastMark = now;
      }
      const bags = newMinute ? needs.bags?.() : null;
      for (const id of passing) {
        const entry = roster.entries.get(id);
        if (entry?.kind === 'system' && entry.memory.holds && now - (entry.memory.raisedAt ?? 0) >= passingMs)
          writeSystem(id, { ...entry.words, title: `${entry.title}; it is watched again` }, false, now);
      }
      const due: AlarmEntry[] = [];
      for (const entry of roster.entries.values()) {
        const at = dueAt(entry.definition.rule, entry.memory);
        if (at !== null && at <= now) due.push(entry);
      }
      const silent = [...silence.due(now), ...causes.due(now)];
      for (const [id, words] of roster.unwritten.list()) {
        writeSystem(id, words, true, now);
        roster.unwritten.forget(id);
      }
      const turned = declared.look(now);
      if (due.length + silent.length + turned.length === 0 && !newMinute) return;
      guard.run(() => {
        for (const by of turned) causes.declared(by, now);
        if (turned.length > 0) holds.note(declared.rooms(), now);
        if (newMinute || turned.length > 0) unloadWatch.note(underway(), now);
        for (const entry of due) runTimers(entry, now);
        for (const write of silent) write();
        if (bags) bagWatch.note(bags, now);
      });
      declared.committed();
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
      const known = roster.entries.get(id);
      if (!abnormal) roster.unwritten.forget(id);
      if ((known?.memory.holds ?? false) === abnormal && (!abnormal || known?.title === words.title)) return;
      try {
        writeSystem(id, words, abnormal, clock.now());
        roster.unwritten.forget(id);
      } catch {
        if (!abnormal) return;
        roster.unwritten.show(id, words);
        onChange();
      }
    },

    /** Every alarm that is not plainly normal: ringing ones first, then by urgency, then the newest. */
    views(): AlarmView[] {
      guard.begin();
      return [...roster.entries.values()]
        .filter(({ memory }) => shownState(memory) !== 'normal')
        .sort(byUrgency)
        .map(view);
    },

    /** One alarm in whatever state. Throws AppError 'not-found'. */
    view(alarm: string): AlarmView {
      guard.begin();
      return view(entryOf(alarm));
    },

    /** All about one alarm for its page, but for the bags at stake and its route. Throws AppError 'not-found'. */
    detail(alarm: string): AlarmDetailOfBook {
      guard.begin();
      const entry = entryOf(alarm);
      return details(entry, view(entry), clock.now());
    },

    /** The raise of an alarm that people were told of, with its words and state of now; or null. */
    raise(alarm: string): { thread: string; title: string; state: AlarmState } | null {
      guard.begin();
      const entry = roster.entries.get(alarm);
      if (entry === undefined || entry.thread === null) return null;
      return { thread: entry.thread, title: entry.title, state: shownState(entry.memory) };
    },

    /** Lines of the journal, newest first. A place or a priority stands for the alarms that have it now. */
    journal({ place, priority, ...lines }: JournalQuestion): AlarmJournalEntry[] {
      if (place === undefined && priority === undefined) return journal.read(lines);
      const alarms = [...roster.entries.values()]
        .map(({ definition }) => definition)
        .filter(({ room, shelf }) => place === undefined || room === place || shelf === place)
        .filter((definition) => priority === undefined || definition.priority === priority)
        .map(({ id }) => id);
      return journal.read({ ...lines, alarms });
    },

    /** Cores as alarms were told of them. */
    cores: coreLog.recorded,

    /** Times in which unloads held alarms back, oldest first. */
    held: holds.spans,

    /** Lines of a span in the order they were written, led by the last line of each alarm before it. */
    journalSpan: (from: EpochMs, to: EpochMs): AlarmJournalEntry[] => journal.span(from, to),

    /** Priority by the definition that holds now; null for an alarm that there is no more. */
    priorityOf: (alarm: string): Priority | null => roster.entries.get(alarm)?.definition.priority ?? null,

    /** Somebody changed what these alarms go by: a line for each, and no change of state. */
    noteLimits(alarms: readonly string[], who: string, what: string): void {
      guard.begin();
      guard.run(() => {
        guard.touch();
        for (const alarm of alarms) {
          const entry = roster.entries.get(alarm);
          if (entry === undefined) continue;
          const shown = shownState(entry.memory);
          const line = { event: limitsChanged, from: shown, to: shown };
          transitions.note(entry, clock.now(), line, who, what);
        }
      });
    },

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
