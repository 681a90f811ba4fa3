import type { ProxyTap } from './tcp-proxy.ts';

const publish = 3;
const puback = 4;
const suback = 9;

/** Cuts a stream into MQTT packets: type, flags and body. */
function packetReader(onPacket: (type: number, flags: number, body: Buffer) => void) {
  let kept = Buffer.alloc(0);
  return (chunk: Buffer): void => {
    kept = Buffer.concat([kept, chunk]);
    for (;;) {
      const head = varintAt(kept, 1);
      if (head === undefined || kept.length < head.end + head.value) return;
      const first = kept[0] as number;
      onPacket(first >> 4, first & 15, kept.subarray(head.end, head.end + head.value));
      kept = kept.subarray(head.end + head.value);
    }
  };
}

function varintAt(bytes: Buffer, at: number): { value: number; end: number } | undefined {
  let value = 0;
  for (let size = 0; size < 4 && at + size < bytes.length; size++) {
    const byte = bytes[at + size] as number;
    value += (byte & 0x7f) * 128 ** size;
    if (byte < 0x80) return { value, end: at + size + 1 };
  }
  return undefined;
}

interface Message {
  topic: string;
  payload: string;
}

/**
 * Listens between a subscriber and its broker, MQTT 5 at QoS 1, and tells each message whose
 * acknowledgement left the subscriber, and each that came with the mark of a redelivery.
 *
 * A packet id may stand for several messages: mosquitto 2.0 gives ids out again while messages that bear them
 * wait, and after a lost connection sends all of a backlog whatever the Receive Maximum. Subscribers acknowledge in
 * the order of arrival (MQTT 5.0, 4.6), so an acknowledgement is for the oldest of its id.
 */
export function watchAcks(parts: {
  onSubscribed(): void;
  /** With how many messages are now unacknowledged. */
  onDelivered(redelivered: boolean, open: number): void;
  onAcknowledged(topic: string, payload: string): void;
}): ProxyTap {
  const open = new Map<number, Message[]>();
  let count = 0;
  return {
    far: packetReader((type, flags, body) => {
      if (type === suback) parts.onSubscribed();
      if (type !== publish || (flags & 6) === 0) return;
      const topicEnd = 2 + body.readUInt16BE(0);
      const properties = varintAt(body, topicEnd + 2);
      if (properties === undefined) return;
      const id = body.readUInt16BE(topicEnd);
      const message = {
        topic: body.toString('utf8', 2, topicEnd),
        payload: body.toString('utf8', properties.end + properties.value),
      };
      const same = open.get(id);
      if (same === undefined) open.set(id, [message]);
      else same.push(message);
      count++;
      parts.onDelivered((flags & 8) !== 0, count);
    }),
    near: packetReader((type, _flags, body) => {
      if (type !== puback) return;
      const id = body.readUInt16BE(0);
      const same = open.get(id);
      const message = same?.shift();
      if (same?.length === 0) open.delete(id);
      if (message === undefined) return;
      count--;
      parts.onAcknowledged(message.topic, message.payload);
    }),
  };
}
