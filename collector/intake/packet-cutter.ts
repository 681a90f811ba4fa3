import type { Socket } from 'node:net';

const publish = 3;

/**
 * Cuts publish packets of one client's stream to `limitBytes` after their fixed header (OASIS MQTT 3.1.1
 * section 2.2), before a broker gathers them in memory. What remains still says where it was meant for, so
 * it can be counted and acknowledged, and the client does not come back with it for ever.
 * Takes the stream chunk by chunk; undefined means that the stream is no MQTT, or that another kind
 * of packet is over the limit: then the connection must end.
 */
export function createPacketCutter(limitBytes: number): (chunk: Buffer) => Buffer | undefined {
  // Bytes of the running packet still to hand on, and after them to drop.
  let pass = 0;
  let drop = 0;
  // A fixed header may arrive in parts; it is held back until its length is known.
  const head = Buffer.alloc(5);
  let headLength = 0;

  return (chunk) => {
    const pieces: Buffer[] = [];
    let at = 0;
    let runFrom = 0;
    const endRun = (to: number, next: number): void => {
      if (to > runFrom) pieces.push(chunk.subarray(runFrom, to));
      runFrom = next;
    };

    while (at < chunk.length) {
      const left = chunk.length - at;
      if (pass > 0) {
        const count = Math.min(pass, left);
        pass -= count;
        at += count;
      } else if (drop > 0) {
        const count = Math.min(drop, left);
        drop -= count;
        endRun(at, at + count);
        at += count;
      } else {
        const from = at;
        const held = headLength;
        let whole = false;
        while (at < chunk.length && !whole) {
          if (headLength === head.length) return undefined;
          const byte = chunk[at++] as number;
          head[headLength++] = byte;
          whole = headLength > 1 && byte < 0x80;
        }
        if (!whole) {
          endRun(from, at);
          break;
        }
        const length = remainingLength(head, headLength);
        headLength = 0;
        if (length <= limitBytes) {
          // Only at the beginning of a chunk, so nothing stands before it.
          if (held > 0) pieces.push(Buffer.from(head.subarray(0, held)));
          pass = length;
        } else if ((head[0] as number) >> 4 === publish) {
          endRun(from, at);
          pieces.push(Buffer.from([head[0] as number, ...encodedLength(limitBytes)]));
          pass = limitBytes;
          drop = length - limitBytes;
        } else return undefined;
      }
    }
    if (pieces.length === 0 && runFrom === 0) return chunk;
    endRun(chunk.length, chunk.length);
    return Buffer.concat(pieces);
  };
}

function remainingLength(head: Uint8Array, headLength: number): number {
  let length = 0;
  for (let at = 1; at < headLength; at++) length += ((head[at] as number) & 0x7f) * 128 ** (at - 1);
  return length;
}

function encodedLength(length: number): number[] {
  const bytes: number[] = [];
  let left = length;
  do {
    const more = left > 0x7f ? 0x80 : 0;
    bytes.push((left & 0x7f) | more);
    left >>= 7;
  } while (left > 0);
  return bytes;
}

/** Cuts what is read from a socket; `onRefused` is called once when the connection is ended for what it sent. */
export function cutPackets(socket: Socket, limitBytes: number, onRefused: () => void): void {
  const cut = createPacketCutter(limitBytes);
  const read = socket.read.bind(socket);
  // The broker reads by calls of `read`; a listener for `data` here would take the bytes from it.
  socket.read = (size?: number) => {
    for (;;) {
      const chunk: Buffer | null = read(size);
      if (chunk === null) return null;
      const rest = cut(chunk);
      if (rest === undefined) {
        onRefused();
        socket.destroy();
        return null;
      }
      if (rest.length > 0) return rest;
    }
  };
}
