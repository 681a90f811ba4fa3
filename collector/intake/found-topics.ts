import type { FoundTopic } from '../../shared/ports.ts';
import { type EpochMs, minuteMs } from '../../shared/time.ts';
import { guessDecoder } from './decoders/registry.ts';
import { exampleOf, printable, showExample } from './printable.ts';

/** Topics remembered; the one that has been quiet longest makes room. */
const maxTopics = 500;
/** Larger payloads are shown by their beginning and not guessed at. */
const keptBytes = 2048;

interface Entry {
  example: Uint8Array;
  bytes: number;
  at: EpochMs;
  messages: number;
  /** Messages of the running minute and of the one before. */
  minute: number;
  thisMinute: number;
  lastMinute: number;
}

/** What is said on topics that no sensor of the farm file stands for. */
export function createFoundTopics() {
  const entries = new Map<string, Entry>();

  const enter = (at: EpochMs): Entry => {
    if (entries.size >= maxTopics) entries.delete(entries.keys().next().value as string);
    const minute = Math.floor(at / minuteMs);
    return { example: new Uint8Array(), bytes: 0, at, messages: 0, minute, thisMinute: 0, lastMinute: 0 };
  };

  return {
    note(topic: string, payload: Uint8Array, at: EpochMs): void {
      const name = printable(topic, 200);
      const entry = entries.get(name) ?? enter(at);
      entries.delete(name);
      entries.set(name, entry);
      turn(entry, at);
      entry.thisMinute++;
      entry.messages++;
      entry.at = at;
      entry.example = exampleOf(payload, keptBytes);
      entry.bytes = payload.length;
    },
    /** Drops topics that have since been placed. */
    forget(placed: (topic: string) => boolean): void {
      for (const topic of entries.keys()) if (placed(topic)) entries.delete(topic);
    },
    /** By topic. */
    list(now: EpochMs): FoundTopic[] {
      return [...entries]
        .map(([topic, entry]) => ({
          topic,
          lastPayload: showExample(entry.example, entry.bytes),
          lastAt: entry.at,
          messages: entry.messages,
          perMinute: perMinute(entry, now),
          guess: entry.bytes <= keptBytes ? guessDecoder(entry.example) : 'unknown',
        }))
        .sort((one, other) => (one.topic < other.topic ? -1 : 1));
    },
  };
}

function turn(entry: Entry, at: EpochMs): void {
  const minute = Math.floor(at / minuteMs);
  if (minute === entry.minute) return;
  entry.lastMinute = minute === entry.minute + 1 ? entry.thisMinute : 0;
  entry.thisMinute = 0;
  entry.minute = minute;
}

/** Sliding over the last 60 s: this minute, and of the one before the share that still lies in the window. */
function perMinute(entry: Entry, now: EpochMs): number {
  turn(entry, now);
  const intoMinute = (now - entry.minute * minuteMs) / minuteMs;
  const rate = entry.thisMinute + entry.lastMinute * Math.max(0, 1 - intoMinute);
  return Math.round(rate * 10) / 10;
}
