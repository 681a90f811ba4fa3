import type { AlarmView } from '../shared/alarms.ts';
import type { EpochMs } from '../shared/time.ts';
import { type DelayMemory, restingDelay } from './conditions/delayed.ts';
import { excess } from './conditions/limit.ts';
import {
  type AlarmDefinition,
  type Definitions,
  type LimitDefinition,
  ruleOf,
  type SilenceDefinition,
} from './definitions.ts';
import type { StoredAlarm, SystemWords } from './records.ts';
import { type AlarmMemory, calmMemory, needsAcknowledgement, shownState } from './state.ts';
import { backInLimitsTitle, limitTitle } from './words.ts';

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

export interface LimitEntry extends EntryBase {
  kind: 'limit';
  definition: LimitDefinition;
  watches: LimitWatch[];
}
export interface SilenceEntry extends EntryBase {
  kind: 'silence';
  definition: SilenceDefinition;
  heardAt: EpochMs;
}
export interface SystemEntry extends EntryBase {
  kind: 'system';
  words: SystemWords;
}
export type AlarmEntry = LimitEntry | SilenceEntry | SystemEntry;

/** One channel as one limit watches it. */
export interface LimitWatch {
  entry: LimitEntry;
  channel: string;
  memory: DelayMemory;
  lastT: EpochMs;
  lastValue: number | null;
  /** It turned on a reading too old to ring for; the next fresh one settles what is so now. */
  unsettled: boolean;
}

const fresh = (definition: AlarmDefinition, now: EpochMs): EntryBase => ({
  definition,
  memory: calmMemory(now),
  title: definition.name,
  value: null,
  peak: null,
  thread: null,
});

/** Entries of a farm's definitions, all calm; every sensor counts as heard `now`. */
export function entriesOf(definitions: Definitions, now: EpochMs): Map<string, AlarmEntry> {
  const entries = new Map<string, AlarmEntry>();
  for (const definition of definitions.limits) {
    const entry: LimitEntry = { ...fresh(definition, now), kind: 'limit', definition, watches: [] };
    for (const channel of definition.channels.keys())
      entry.watches.push({
        entry,
        channel,
        memory: restingDelay,
        lastT: Number.NEGATIVE_INFINITY,
        lastValue: null,
        unsettled: false,
      });
    entries.set(definition.id, entry);
  }
  for (const definition of definitions.silences)
    entries.set(definition.id, { ...fresh(definition, now), kind: 'silence', definition, heardAt: now });
  return entries;
}

/** A fault of the tool's own parts; no farm file defines it, whoever reports it brings the words. */
export function systemEntry(id: string, words: SystemWords, now: EpochMs): SystemEntry {
  const definition: AlarmDefinition = {
    id,
    condition: 'system',
    name: words.title,
    priority: words.priority,
    consequence: 'Part of this tool does not work, and what it watches may go unseen.',
    advice: words.advice,
    respondWithinMin: words.priority === 1 ? 20 : 240,
    room: null,
    shelf: null,
    rule: ruleOf(words.priority, false),
  };
  return { ...fresh(definition, now), kind: 'system', definition, words };
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
function furthest(entry: LimitEntry, counts: (watch: LimitWatch) => boolean): LimitWatch | null {
  let found: LimitWatch | null = null;
  for (const watch of entry.watches) {
    if (watch.lastValue === null || !counts(watch)) continue;
    if (found === null || further(entry, watch.lastValue, found.lastValue!)) found = watch;
  }
  return found;
}

const further = (entry: LimitEntry, value: number, than: number) =>
  excess(entry.definition.limit, value) > excess(entry.definition.limit, than);

const worstOf = (entry: LimitEntry) => furthest(entry, (watch) => watch.memory.on);

/** Brings title, value and peak of a limit alarm up to its readings. Returns whether its words changed. */
export function refresh(entry: LimitEntry): boolean {
  const { place, channels, quantity, condition, limit: rule } = entry.definition;
  const worst = worstOf(entry);
  // After a restart the channel that holds it has not spoken yet: nothing newer is known.
  if (worst === null && entry.watches.some((watch) => watch.memory.on)) return false;
  const shown = worst ?? furthest(entry, () => true);
  if (shown === null) return false;
  entry.value = shown.lastValue;
  if (worst && (entry.peak === null || further(entry, worst.lastValue!, entry.peak)))
    entry.peak = worst.lastValue;
  const before = entry.title;
  if (worst) {
    const at = channels.get(worst.channel) ?? null;
    entry.title = limitTitle(place, at, quantity, condition, entry.value, rule.limit);
  } else if (entry.memory.raisedAt === null) entry.title = entry.definition.name;
  else entry.title = backInLimitsTitle(place, quantity, entry.value, rule.limit, entry.peak);
  return entry.title !== before;
}

const channelOf = (entry: AlarmEntry): string | null =>
  entry.kind === 'limit' ? ((worstOf(entry) ?? entry.watches[0])?.channel ?? null) : null;

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
  entry.kind === 'limit' ? entry.definition.limit.limit : null;
