import type { RejectedTopic } from '../../shared/ports.ts';
import type { EpochMs } from '../../shared/time.ts';
import { maxPayloadBytes, type Refusal } from './decoders/decoder.ts';
import { exampleOf, printable, showExample } from './printable.ts';

/** Topics remembered; the one that has been quiet longest makes room. */
const maxTopics = 200;

/** What went wrong and what to look at, for the Farm screen. */
const words: Record<Refusal, string> = {
  'too-large': `payload larger than ${maxPayloadBytes} bytes: is this topic a sensor?`,
  empty: 'payload is empty',
  'not-utf8': 'payload is not UTF-8 text: the sensor may send a binary format',
  'not-a-number': 'value is not a plain decimal number such as 23.4',
  'not-finite': 'value is too large for a number',
  'not-a-state': 'value is not a state: send ON or OFF, true or false, 1 or 0',
  'not-json': 'payload is not valid JSON',
  'too-deep': 'JSON is nested deeper than any reading',
  'prototype-key': 'JSON has a key that is reserved (__proto__ or constructor.prototype)',
  'nothing-at-pointer': 'JSON has nothing at the pointer: compare the pointer with the payload',
  'bad-time': 'time is not epoch seconds, epoch ms or ISO 8601 with its zone, so the receive time was taken',
  'read-failure': 'sensor reports a read failure (85 or -127 °C): check its wiring',
  'decoder-failed': 'decoder failed on this payload; please report it with the payload',
};

interface Entry {
  count: number;
  reason: Refusal;
  where: string;
  example: Uint8Array;
  bytes: number;
  at: EpochMs;
}

/** Counts per topic what could not be used, with the last example. Bounded in topics and in bytes. */
export function createRefusals() {
  const entries = new Map<string, Entry>();
  let total = 0;
  return {
    note(topic: string, reason: Refusal, where: string, payload: Uint8Array, at: EpochMs): void {
      total++;
      const name = printable(topic, 200);
      const count = (entries.get(name)?.count ?? 0) + 1;
      // Set anew, so that the map's order is from the longest quiet to the newest.
      entries.delete(name);
      if (entries.size >= maxTopics) entries.delete(entries.keys().next().value as string);
      entries.set(name, { count, reason, where, example: exampleOf(payload), bytes: payload.length, at });
    },
    /** Newest first. */
    list(): RejectedTopic[] {
      return [...entries].reverse().map(([topic, entry]) => ({
        topic,
        count: entry.count,
        lastReason: entry.where === '' ? words[entry.reason] : `${words[entry.reason]} (${entry.where})`,
        lastPayload: showExample(entry.example, entry.bytes),
        lastAt: entry.at,
      }));
    },
    /** Since the start, whatever topics were forgotten since. */
    total: (): number => total,
  };
}
