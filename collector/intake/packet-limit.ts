import type { Socket } from 'node:net';

/** Reading of MQTT's fixed header, OASIS MQTT 3.1.1 section 2.2: one byte, then up to four of length. */
export interface PacketMeter {
  /** False when a packet of this stream announces more than the limit, or a length that is none. */
  feed(chunk: Uint8Array): boolean;
}

/** Follows a client's stream from packet to packet and sees how long each says it is. */
export function createPacketMeter(limitBytes: number): PacketMeter {
  /** Bytes of the packet's body still to come. */
  let body = 0;
  let lengthBytes = -1;
  let length = 0;

  return {
    feed(chunk) {
      let at = 0;
      while (at < chunk.length) {
        if (body > 0) {
          const skipped = Math.min(body, chunk.length - at);
          body -= skipped;
          at += skipped;
          continue;
        }
        const byte = chunk[at++] as number;
        if (lengthBytes === -1) {
          lengthBytes = 0;
          length = 0;
          continue;
        }
        length += (byte & 0x7f) * 128 ** lengthBytes++;
        if (length > limitBytes) return false;
        if (byte < 0x80) {
          body = length;
          lengthBytes = -1;
        } else if (lengthBytes === 4) return false;
      }
      return true;
    },
  };
}

/** Ends a connection that announces a packet over the limit, before the broker gathers it in memory. */
export function limitPackets(socket: Socket, limitBytes: number, onTooLarge: () => void): void {
  const meter = createPacketMeter(limitBytes);
  const read = socket.read.bind(socket);
  // The broker reads by calls of `read`; a listener for `data` here would take the bytes from it.
  socket.read = (size?: number) => {
    const chunk: Buffer | null = read(size);
    if (chunk === null || meter.feed(chunk)) return chunk;
    onTooLarge();
    socket.destroy();
    return null;
  };
}
