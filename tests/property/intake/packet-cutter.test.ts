import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { createPacketCutter } from '../../../collector/intake/packet-cutter.ts';

const limit = 300;
const publishHead = 0x32;
const pingHead = 0xc0;

function encode(head: number, body: Buffer): Buffer {
  const length: number[] = [];
  let left = body.length;
  do {
    length.push((left & 0x7f) | (left > 0x7f ? 0x80 : 0));
    left >>= 7;
  } while (left > 0);
  return Buffer.concat([Buffer.from([head, ...length]), body]);
}

const packet = fc.record({
  head: fc.constantFrom(publishHead, pingHead, 0x30, 0x82),
  body: fc.oneof(
    fc.uint8Array({ maxLength: 8 }),
    fc.uint8Array({ minLength: 126, maxLength: 130 }),
    fc.uint8Array({ minLength: limit - 2, maxLength: limit + 2 }),
    fc.integer({ min: limit, max: 40_000 }).map((size) => new Uint8Array(size).fill(size % 251)),
  ),
});

function split(bytes: Buffer, sizes: readonly number[]): Buffer[] {
  const chunks: Buffer[] = [];
  let at = 0;
  for (let turn = 0; at < bytes.length; turn++) {
    const size = sizes[turn % sizes.length] as number;
    chunks.push(bytes.subarray(at, at + size));
    at += size;
  }
  return chunks;
}

describe('laws of the packet cutter', () => {
  it('hands on every packet, publishes cut to the limit, however the stream is chopped', () => {
    const sizes = fc.array(fc.integer({ min: 1, max: 5000 }), { minLength: 1, maxLength: 6 });
    fc.assert(
      fc.property(fc.array(packet, { maxLength: 12 }), sizes, (packets, chunkSizes) => {
        const isPublish = (head: number) => head >> 4 === 3;
        const legal = packets.filter(({ head, body }) => isPublish(head) || body.length <= limit);
        const sent = Buffer.concat(legal.map(({ head, body }) => encode(head, Buffer.from(body))));
        const wanted = legal.map(({ head, body }) => encode(head, Buffer.from(body).subarray(0, limit)));
        const cut = createPacketCutter(limit);
        const got = split(sent, chunkSizes).map((chunk) => cut(chunk));
        expect(got).not.toContain(undefined);
        expect(Buffer.concat(got as Buffer[]).equals(Buffer.concat(wanted))).toBe(true);
      }),
      { seed: 61, numRuns: 300 },
    );
  });

  it('hands an ordinary chunk on as it is, without a copy', () => {
    const chunk = Buffer.concat([encode(publishHead, Buffer.alloc(20)), encode(pingHead, Buffer.alloc(0))]);
    expect(createPacketCutter(limit)(chunk)).toBe(chunk);
  });

  it('ends a stream with another kind of packet over the limit, or a length of more than four bytes', () => {
    expect(createPacketCutter(limit)(encode(0x82, Buffer.alloc(limit + 1)))).toBeUndefined();
    expect(createPacketCutter(limit)(Buffer.from([0x30, 0x80, 0x80, 0x80, 0x80, 0x01]))).toBeUndefined();
  });
});
