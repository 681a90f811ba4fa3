import type { DecoderName, Sensor } from '../../../shared/farm/schema.ts';
import type { EpochMs } from '../../../shared/time.ts';

/** Why a payload, or one value of it, is of no use. Each has its sentence in `refusal-words.ts`. */
export type Refusal =
  | 'too-large'
  | 'empty'
  | 'not-utf8'
  | 'not-a-number'
  | 'not-finite'
  | 'not-a-state'
  | 'not-json'
  | 'too-deep'
  | 'prototype-key'
  | 'nothing-at-pointer'
  | 'bad-time'
  | 'read-failure'
  | 'decoder-failed';

/** What a decoder hands its finds to. */
export interface DecodeSink {
  /**
   * One value, finite, in the unit the sensor sends (a state is 1 or 0), for the sensor's `channel`-th channel.
   * `t` is the sensor's own time, or NaN where the payload says none.
   */
  take(channel: number, value: number, t: EpochMs): void;
  /** Something was of no use: one value, the time, or the payload as a whole. */
  refuse(reason: Refusal, where: string): void;
}

/** Reads one payload. What is wrong with a payload goes to `sink.refuse`, never out as a throw. */
export type Decode = (payload: Uint8Array, topic: string, sink: DecodeSink) => void;

/** One way of writing readings into a payload. The farm file was validated, so compiling does not fail. */
export interface Decoder {
  name: DecoderName;
  /** Does once per sensor what need not be done per message. */
  compile(sensor: Sensor): Decode;
  /** What in a payload this decoder could use, in words for setting up; undefined if nothing. */
  guess(payload: Uint8Array): string | undefined;
}

/** Largest payload that is looked into. The longest useful ones are packs of a buffering gateway. */
export const maxPayloadBytes = 65_536;
