import type { AlarmView } from '../shared/alarms.ts';
import type { EpochMs } from '../shared/time.ts';
import { type DelayMemory, restingDelay } from './conditions/delayed.ts';
import { excess, type LimitRule } from './conditions/limit.ts';
import {
  type AlarmDefinition,
  ruleOf,
  type SignalDefinition,
  type SilenceDefinition,
  type SilenceGroupDefinition,
} from './definitions/definition.ts';
import type { Definitions } from './definitions/definitions.ts';
import type { StoredAlarm, SystemWords } from './records.ts';
import { type AlarmMemory, calmMemory, needsAcknowledgement, shownState } from './state.ts';

/** One alarm with all that it remembers. */
interface EntryBase {
  definition: AlarmDefinition;
  memory: AlarmMemory;
  title: string;
  /** The value that stands for it now, and the furthest since it was raised. */
  value: number | null;
  peak: number | null;
  /** Names the raise whose messages belong together; null while nobody was told. */
  thread: string | null;
}

export interface SignalEntry extends EntryBase {
  kind: 'signal';
  definition: SignalDefinition;
  /** The rule that the newest reading was judged by. */
  limit: LimitRule;
  watches: SignalWatch[];
}
export interface SilenceEntry extends EntryBase {
  kind: 'silence';
  definition: SilenceDefinition;
  heardAt: EpochMs;
}
export interface SilenceGroupEntry extends EntryBase {
  kind: 'group';
  definition: SilenceGroupDefinition;
  /** When the first of them was heard again, while the alarm holds. */
  spokeAt: EpochMs | null;
}
export interface SystemEntry extends EntryBase {
  kind: 'system';
  words: SystemWords;
}
export type AlarmEntry = SignalEntry | SilenceEntry | SilenceGroupEntry | SystemEntry;

/** One signal as one alarm watches it. */
export interface SignalWatch {
  entry: SignalEntry;
  signal: string;
  memory: DelayMemory;
  lastValue: number | null;
  lastDetail: string | null;
  /** It turned on a reading too old to ring for; the next fresh one settles what is so now. */
  unsettled: boolean;
}

const calm = (definition: AlarmDefinition, now: EpochMs): EntryBase => ({
  definition,
  memory: calmMemory(now),
  title: definition.name,
  value: null,
  peak: null,
  thread: null,
});

const newWatch = (entry: SignalEntry, signal: string): SignalWatch => ({
  entry,
  signal,
  memory: restingDelay,
  lastValue: null,
  lastDetail: null,
  unsettled: false,
});

/** Entries of a farm's definitions, all calm; every sensor counts as heard `now`. */
export function entriesOf(definitions: Definitions, now: EpochMs): Map<string, AlarmEntry> {
  const entries = new Map<string, AlarmEntry>();
  for (const definition of definitions.signals) {
    const { base: limit } = definition;
    const entry: SignalEntry = { ...calm(definition, now), kind: 'signal', definition, limit, watches: [] };
    for (const signal of definition.watched.keys()) entry.watches.push(newWatch(entry, signal));
    entries.set(definition.id, entry);
  }
  for (const definition of definitions.groups)
    entries.set(definition.id, { ...calm(definition, now), kind: 'group', definition, spokeAt: null });
  for (const definition of definitions.silences)
    entries.set(definition.id, { ...calm(definition, now), kind: 'silence', definition, heardAt: now });
  return entries;
}

/** A fault of the tool's own parts; no farm file defines it, whoever reports it brings the words. */
export function systemEntry(id: string, words: SystemWords, now: EpochMs): SystemEntry {
  const definition: AlarmDefinition = {
    id,
    name: words.title,
    priority: words.priority,
    consequence: 'Part of this tool does not work, and what it watches may go unseen.',
    advice: words.advice,
    respondWithinMin: words.priority === 1 ? 20 : 240,
    ...{ room: null, shelf: null, route: null, causes: [], unit: '' },
    rule: ruleOf(words.priority),
  };
  return { ...calm(definition, now), kind: 'system', definition, words };
}

/** Lays what was stored over a calm entry. */
export function recall(entry: AlarmEntry, stored: StoredAlarm): void {
  if (stored.memory) entry.memory = stored.memory;
  entry.title = stored.title;
  entry.value = stored.value;
  entry.peak = stored.peak;
  entry.thread = stored.thread;
}

/** The watch furthest beyond the limit, or nearest to it, among those that `counts` and have spoken. */
function furthest(entry: SignalEntry, counts: (watch: SignalWatch) => boolean): SignalWatch | null {
  let found: SignalWatch | null = null;
  for (const watch of entry.watches) {
    if (watch.lastValue === null || !counts(watch)) continue;
    if (found === null || further(entry, watch.lastValue, found.lastValue!)) found = watch;
  }
  return found;
}

const further = (entry: SignalEntry, value: number, than: number) =>
  excess(entry.limit, value) > excess(entry.limit, than);

const worstOf = (entry: SignalEntry) => furthest(entry, (watch) => watch.memory.on);

/** Brings title, value and peak of an alarm up to its signals. Returns whether its words changed. */
export function refresh(entry: SignalEntry): boolean {
  const { definition } = entry;
  const worst = worstOf(entry);
  // After a restart the signal that holds it has not spoken yet: nothing newer is known.
  if (worst === null && entry.watches.some((watch) => watch.memory.on)) return false;
  const shown = worst ?? furthest(entry, () => true);
  if (shown === null) return false;
  entry.value = Number.isFinite(shown.lastValue) ? shown.lastValue : null;
  if (worst && (entry.peak === null || further(entry, worst.lastValue!, entry.peak)))
    entry.peak = worst.lastValue;
  const before = entry.title;
  const evidence = {
    value: shown.lastValue!,
    limit: entry.limit.limit,
    at: definition.watched.get(shown.signal)?.at ?? null,
    detail: shown.lastDetail,
    peak: entry.peak,
  };
  if (worst) entry.title = definition.raised(evidence);
  else if (entry.memory.raisedAt === null) entry.title = definition.name;
  else entry.title = definition.over(evidence);
  return entry.title !== before;
}

const channelOf = (entry: AlarmEntry): string | null => channelsOf(entry)[0] ?? null;

/** Channels whose curves show an alarm, the worst first. */
export function channelsOf(entry: AlarmEntry): string[] {
  if (entry.kind !== 'signal') return [];
  const worst = worstOf(entry) ?? entry.watches[0];
  const watches = worst === undefined ? [] : [worst, ...entry.watches];
  return [...new Set(watches.flatMap(({ signal }) => entry.definition.watched.get(signal)?.channel ?? []))];
}

/** An entry as screens show it. */
export function viewOf(entry: AlarmEntry, delivery: AlarmView['delivery']): AlarmView {
  const { definition, memory } = entry;
  const state = shownState(memory);
  return {
    id: definition.id,
    state,
    priority: definition.priority,
    title: entry.title,
    advice: definition.advice,
    consequence: definition.consequence,
    respondWithinMin: definition.respondWithinMin,
    since: memory.since,
    raisedAt: memory.raisedAt,
    channel: channelOf(entry),
    room: definition.room,
    shelf: definition.shelf,
    value: entry.value,
    limit: limitOf(entry),
    ringing: needsAcknowledgement(state),
    conditionHolds: memory.holds,
    shelvedUntil: memory.shelved?.until ?? null,
    delivery,
  };
}

export const limitOf = (entry: AlarmEntry): number | null =>
  entry.kind === 'signal' && Number.isFinite(entry.limit.limit) ? entry.limit.limit : null;
