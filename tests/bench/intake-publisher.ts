// Publishes readings of many sensors at QoS 1, as fast as the broker takes them. A process of its own,
// with packets written by hand, so that it costs the machine little beside what is measured.
import { connect } from 'node:net';

export interface PublishOrder {
  port: number;
  sensors: number;
  count: number;
  /** Epoch ms of the first reading; each sensor's readings are 1 s apart. */
  from: number;
}

const text = (value: string): Buffer => {
  const bytes = Buffer.from(value);
  return Buffer.concat([Buffer.from([bytes.length >> 8, bytes.length & 0xff]), bytes]);
};

function packet(head: number, body: Buffer): Buffer {
  // Below 128 bytes the length is one byte, below 16,384 two.
  const length = body.length < 128 ? [body.length] : [(body.length & 0x7f) | 0x80, body.length >> 7];
  return Buffer.concat([Buffer.from([head, ...length]), body]);
}

function reading(at: number, { sensors, from }: PublishOrder): Buffer {
  const sensor = at % sensors;
  const turn = Math.floor(at / sensors);
  const temperature = (23 + Math.sin(turn / 50 + sensor) * 1.5).toFixed(2);
  const payload = `{"at":${from + turn * 1000 + sensor},"temperature":${temperature},"battery":97}`;
  const id = (at % 65_535) + 1;
  const body = Buffer.concat([
    text(`bench/${sensor}/air`),
    Buffer.from([id >> 8, id & 0xff]),
    Buffer.from(payload),
  ]);
  return packet(0x32, body);
}

process.on('message', (order: PublishOrder) => {
  const packets: Buffer[] = [];
  for (let at = 0; at < order.count; at += 100) {
    const some = Array.from({ length: Math.min(100, order.count - at) }, (_, more) =>
      reading(at + more, order),
    );
    packets.push(Buffer.concat(some));
  }
  const socket = connect(order.port, '127.0.0.1');
  socket.write(
    packet(0x10, Buffer.concat([text('MQTT'), Buffer.from([4, 2, 0, 0]), text('bench-publisher')])),
  );
  // CONNACK is 4 bytes, each PUBACK 4.
  let awaited = 4 * (order.count + 1);
  socket.once('data', () => {
    for (const some of packets) socket.write(some);
  });
  socket.on('data', (chunk) => {
    awaited -= chunk.length;
    if (awaited === 0) socket.end(() => process.send?.('published'));
  });
});
process.on('disconnect', () => process.exit(0));
process.send?.('ready');
