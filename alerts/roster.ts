import type { Farm } from '../shared/farm/farm.ts';
import type { RoomsKnown } from '../shared/room/rooms-known.ts';
import type { Clock } from '../shared/time.ts';
import { definitionsOf } from './definitions/definitions.ts';
import { type AlarmEntry, entriesOf, recall, type SilenceEntry, systemEntry } from './entries.ts';
import type { AlarmRecords, SystemWords } from './records.ts';

/**
 * All alarms of a farm as they stand in memory: definitions laid over with what the database remembers.
 * Loading anew brings them back to the database; only when a sensor was last heard is kept besides.
 */
export function createRoster(records: AlarmRecords, clock: Clock, rooms: RoomsKnown | null = null) {
  let entries = new Map<string, AlarmEntry>();
  let silences = new Map<string, SilenceEntry[]>();
  let children = new Map<string, AlarmEntry[]>();
  let condemners = new Map<string, AlarmEntry[]>();
  /** System alarms that could not be written (a full disk): shown all the same, and tried again. */
  const unwritten = new Map<string, SystemWords>();

  const showUnwritten = (id: string, words: SystemWords) => {
    const now = clock.now();
    const entry = systemEntry(id, words, now);
    entry.memory = { ...entry.memory, holds: true, raisedAt: now, live: 'unacknowledged' };
    entry.title = words.title;
    entries.set(id, entry);
  };

  const relate = (farm: Farm) => {
    silences = new Map();
    for (const { id, sensor } of farm.channels.values()) {
      const both = [entries.get(`silent/${sensor.id}`), entries.get(`silent-channel/${id}`)];
      silences.set(
        id,
        both.filter((entry) => entry?.kind === 'silence'),
      );
    }
    children = new Map();
    condemners = new Map();
    const add = (index: Map<string, AlarmEntry[]>, key: string, entry: AlarmEntry) =>
      index.set(key, [...(index.get(key) ?? []), entry]);
    for (const entry of entries.values()) {
      const { causes, condemns } = entry.definition;
      for (const cause of causes) add(children, cause, entry);
      if (condemns !== undefined) add(condemners, condemns, entry);
    }
  };

  return {
    load(farm: Farm): void {
      const now = clock.now();
      const known = entries;
      entries = entriesOf(definitionsOf(farm, rooms), now);
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
      relate(farm);
    },
    get entries(): ReadonlyMap<string, AlarmEntry> {
      return entries;
    },
    /** Silence alarms that a reading of a channel answers: its sensor's, and its own. */
    silencesOf: (channel: string): readonly SilenceEntry[] => silences.get(channel) ?? [],
    silenceOfSensor(sensor: string): SilenceEntry | undefined {
      const entry = entries.get(`silent/${sensor}`);
      return entry?.kind === 'silence' ? entry : undefined;
    },
    /** Alarms that an alarm is the cause of. */
    childrenOf: (id: string): readonly AlarmEntry[] => children.get(id) ?? [],
    /** Whether an alarm that condemns the channel's readings holds. */
    isCondemned(channel: string): boolean {
      const alarms = condemners.get(channel);
      return alarms?.some(({ memory }) => memory.holds) ?? false;
    },
    /** A system alarm as the database has it, or anew, with these words. */
    system(id: string, words: SystemWords): AlarmEntry {
      const entry = systemEntry(id, words, clock.now());
      const stored = records.load().find(({ alarm }) => alarm === id);
      if (stored) recall(entry, stored);
      entry.title = words.title;
      entries.set(id, entry);
      return entry;
    },
    unwritten: {
      list: () => [...unwritten],
      show(id: string, words: SystemWords) {
        unwritten.set(id, words);
        showUnwritten(id, words);
      },
      forget: (id: string) => unwritten.delete(id),
    },
  };
}
export type Roster = ReturnType<typeof createRoster>;
