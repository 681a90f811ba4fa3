import { channelId, type Farm } from '../../shared/farm/farm.ts';
import type { AcceptMessage, FoundTopic, InboundMessage, RejectedTopic } from '../../shared/ports.ts';
import type { Reading } from '../../shared/readings.ts';
import type { Clock } from '../../shared/time.ts';
import { type Decode, type DecodeSink, maxPayloadBytes, type Refusal } from './decoders/decoder.ts';
import { decoders } from './decoders/registry.ts';
import { createFoundTopics } from './found-topics.ts';
import { createLiveValues, type LiveValues } from './live-values.ts';
import { createRefusals } from './refusals.ts';
import { createTopicMap, type TopicMap } from './topic-map.ts';
import { type ChannelRule, createChannelRule } from './validate.ts';

export interface IntakeParts {
  farm: Farm;
  clock: Clock;
  /** The site's transaction. Returns the readings that were new; what it throws keeps the message unacknowledged. */
  commit(readings: readonly Reading[]): readonly Reading[];
  /** After the commit and the live state, with what was new. What it throws is logged and stops nothing. */
  onAccepted(readings: readonly Reading[]): void;
  /** A sensor answered, but could not measure (85 or -127 °C of a 1-wire part): there is nothing to commit. */
  onReadFailure?(channel: string): void;
  log: (level: 'info' | 'warn' | 'error', text: string, error?: unknown) => void;
}

/** One sensor of the farm file, compiled. */
interface Receiver {
  decode: Decode;
  /** In the order of the sensor's channels; undefined where the farm has no such channel. */
  rules: readonly (ChannelRule | undefined)[];
}

export interface Intake {
  accept: Required<AcceptMessage> & AcceptMessage;
  /** Takes a reloaded farm file; live values of channels that stay are kept. */
  setFarm(farm: Farm): void;
  /** Topic filters that the sensors of the farm need. */
  filters(): readonly string[];
  found(): { topics: FoundTopic[]; rejected: RejectedTopic[] };
  /** Since the start. */
  counts(): { messages: number; readings: number; duplicates: number; refused: number };
  live: LiveValues;
  close(): void;
}

/**
 * The way of a reading: topic map, decode, validate and calibrate, commit (which takes duplicates out),
 * live state. Nothing in a payload makes `accept` throw; a commit that fails does, so that the
 * message is not acknowledged.
 */
export function createIntake({ farm, clock, commit, onAccepted, onReadFailure, log }: IntakeParts): Intake {
  const live = createLiveValues({ farm, clock });
  const refusals = createRefusals();
  const found = createFoundTopics();
  let map: TopicMap<Receiver> = compile(farm);
  const counts = { messages: 0, readings: 0, duplicates: 0 };

  // The message that is being decoded; one sink serves all, so that a message makes no closures.
  let message: InboundMessage;
  let receiver: Receiver;
  let readings: Reading[] = [];
  // Messages whose commit failed are offered again until the store takes them, and counted once.
  const failed = new Set<InboundMessage>();
  const refuse = (reason: Refusal, where: string): void => {
    if (!failed.has(message))
      refusals.note(message.topic, reason, where, message.payload, message.receivedAt);
  };
  const sink: DecodeSink = {
    refuse,
    take(channel, value, t) {
      const rule = receiver.rules[channel];
      if (rule === undefined) return;
      const reading = rule.read(value, t, message.receivedAt, message.retained);
      if (reading !== undefined) readings.push(reading);
      else if (!failed.has(message)) {
        refuse('read-failure', rule.channel);
        onReadFailure?.(rule.channel);
      }
    },
  };

  const decode = (next: InboundMessage) => {
    message = next;
    if (!failed.has(next)) counts.messages++;
    const receivers = map.at(next.topic);
    if (receivers.length === 0) return found.note(next.topic, next.payload, next.receivedAt);
    if (next.payload.length > maxPayloadBytes) return refuse('too-large', '');
    for (receiver of receivers)
      try {
        receiver.decode(next.payload, next.topic, sink);
      } catch (thrown) {
        refuse('decoder-failed', '');
        log('error', `intake: the decoder failed on a payload of topic ${next.topic}`, thrown);
      }
  };

  const store = (): void => {
    if (readings.length === 0) return;
    const taken = readings;
    readings = [];
    const fresh = commit(taken);
    counts.readings += fresh.length;
    counts.duplicates += taken.length - fresh.length;
    if (fresh.length === 0) return;
    for (const reading of fresh) live.apply(reading);
    try {
      onAccepted(fresh);
    } catch (thrown) {
      log('error', 'intake: what follows an accepted reading failed', thrown);
    }
  };

  const acceptAll = (messages: readonly InboundMessage[]): void => {
    for (const next of messages) decode(next);
    try {
      store();
    } catch (thrown) {
      for (const next of messages) failed.add(next);
      throw thrown;
    }
    failed.clear();
  };

  return {
    accept: Object.assign((next: InboundMessage) => acceptAll([next]), { all: acceptAll }),
    setFarm(next) {
      map = compile(next);
      live.setFarm(next);
      found.forget((topic) => map.at(topic).length > 0);
    },
    filters: () => map.filters,
    found: () => ({ topics: found.list(clock.now()), rejected: refusals.list() }),
    counts: () => ({ ...counts, refused: refusals.total() }),
    live,
    close: () => live.close(),
  };
}

function compile(farm: Farm): TopicMap<Receiver> {
  const { sensors, site } = farm.file;
  return createTopicMap(
    sensors.map((sensor) => ({
      filter: sensor.topic,
      value: {
        decode: decoders[sensor.decoder].compile(sensor),
        rules: sensor.channels.map((spec) => {
          const channel = farm.channels.get(channelId(sensor.id, spec.quantity));
          return channel?.spec === spec ? createChannelRule(channel, site.timeZone) : undefined;
        }),
      },
    })),
  );
}
