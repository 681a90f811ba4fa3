import type { Database } from 'better-sqlite3';
import { z } from 'zod';
import { priority } from '../shared/alarms.ts';
import { type DelayMemory, delayMemory } from './conditions/delayed.ts';
import { type AlarmMemory, alarmMemory } from './state.ts';

/** What a system alarm says; kept with its state, since no farm file defines it. */
export const systemWords = z.object({ title: z.string(), advice: z.string(), priority });
export type SystemWords = z.infer<typeof systemWords>;

export interface StoredAlarm {
  alarm: string;
  /** Null when what was stored cannot be read any more. */
  memory: AlarmMemory | null;
  /** The memory came back, but its shelving could not be read. */
  shelvingLost: boolean;
  title: string;
  value: number | null;
  peak: number | null;
  thread: string | null;
  words: SystemWords | null;
}

interface StateRow {
  alarm: string;
  memory: string;
  title: string;
  value: number | null;
  peak: number | null;
  thread: string | null;
  words: string | null;
}

/** What alarms remember between readings and across restarts. Writes join the caller's transaction. */
export function createAlarmRecords(database: Database) {
  const putState = database.prepare(`
    INSERT INTO alarm_state (alarm, memory, title, value, peak, thread, words)
    VALUES (@alarm, @memory, @title, @value, @peak, @thread, @words)
    ON CONFLICT (alarm) DO UPDATE SET memory = excluded.memory, title = excluded.title,
      value = excluded.value, peak = excluded.peak, thread = excluded.thread, words = excluded.words`);
  const putWatch = database.prepare(`
    INSERT INTO alarm_watch (alarm, watch, memory) VALUES (?, ?, ?)
    ON CONFLICT (alarm, watch) DO UPDATE SET memory = excluded.memory`);
  const allStates = database.prepare<[], StateRow>('SELECT * FROM alarm_state');
  const allWatches = database.prepare<[], { alarm: string; watch: string; memory: string }>(
    'SELECT * FROM alarm_watch',
  );
  const putSignal = database.prepare(`
    INSERT INTO alarm_signal (signal, memory) VALUES (?, ?)
    ON CONFLICT (signal) DO UPDATE SET memory = excluded.memory`);
  const oneSignal = database.prepare<[string], { memory: string }>(
    'SELECT memory FROM alarm_signal WHERE signal = ?',
  );
  const dropState = database.prepare('DELETE FROM alarm_state WHERE alarm = ?');
  const dropWatches = database.prepare('DELETE FROM alarm_watch WHERE alarm = ?');
  const putWatched = database.prepare(
    'INSERT INTO alarm_watched (id, t) VALUES (1, ?) ON CONFLICT (id) DO UPDATE SET t = excluded.t',
  );
  const oneWatched = database.prepare<[], { t: number }>('SELECT t FROM alarm_watched');
  const bump = database.prepare<[], { n: number }>('UPDATE alarm_mark SET n = n + 1 RETURNING n');
  const mark = database.prepare<[], { n: number }>('SELECT n FROM alarm_mark');

  return {
    save: (entry: Omit<StoredAlarm, 'memory' | 'shelvingLost'> & { memory: AlarmMemory }) =>
      putState.run({
        alarm: entry.alarm,
        title: entry.title,
        value: entry.value,
        peak: entry.peak,
        thread: entry.thread,
        memory: JSON.stringify(entry.memory),
        words: entry.words && JSON.stringify(entry.words),
      }),
    saveWatch: (alarm: string, watch: string, memory: DelayMemory) =>
      putWatch.run(alarm, watch, JSON.stringify(memory)),
    saveSignal: (signal: string, memory: string) => putSignal.run(signal, memory),
    signal: (signal: string): string | null => oneSignal.get(signal)?.memory ?? null,
    drop(alarm: string) {
      dropState.run(alarm);
      dropWatches.run(alarm);
    },
    load: (): StoredAlarm[] => allStates.all().map(readState),
    loadWatches: () =>
      allWatches.all().flatMap((row) => {
        const memory = delayMemory.safeParse(parse(row.memory));
        return memory.success ? [{ ...row, memory: memory.data }] : [];
      }),
    /** Alarms were watched at this instant. */
    markWatched: (t: number) => putWatched.run(t),
    watchedAt: (): number | null => oneWatched.get()?.t ?? null,
    /** Counts the batches of changes, so that one that was rolled back shows. */
    bump: (): number => bump.get()!.n,
    mark: (): number => mark.get()!.n,
  };
}
export type AlarmRecords = ReturnType<typeof createAlarmRecords>;

const parse = (json: string): unknown => {
  try {
    return JSON.parse(json);
  } catch {
    return undefined;
  }
};

function readState(row: StateRow): StoredAlarm {
  const json = parse(row.memory);
  const whole = alarmMemory.safeParse(json);
  const rest = whole.success ? whole : alarmMemory.safeParse({ ...(json as object), shelved: null });
  const words = row.words === null ? null : systemWords.safeParse(parse(row.words));
  return {
    ...row,
    memory: rest.success ? rest.data : null,
    shelvingLost: !whole.success && rest.success,
    words: words?.success ? words.data : null,
  };
}
