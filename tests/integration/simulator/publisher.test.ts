import { expect, it } from 'vitest';
import { createEmbeddedBroker } from '../../../collector/intake/embedded-broker.ts';
import { systemClock } from '../../../collector/system-clock.ts';
import { createPublisher } from '../../../simulator/demo/publisher.ts';
import { freePort } from '../../tools/free-port.ts';

const brokerOn = (port: number) => createEmbeddedBroker({ clock: systemClock, log() {}, port });

it('publishes over MQTT, keeps what it could not send while the broker is away, and sends it then', async () => {
  const port = await freePort();
  const first = brokerOn(port);
  const taken: string[] = [];
  let arrived = () => {};
  const take = ({ topic, payload }: { topic: string; payload: Uint8Array }) => {
    taken.push(`${topic} ${Buffer.from(payload).toString()}`);
    arrived();
  };
  const until = (count: number) =>
    new Promise<void>((resolve) => {
      arrived = () => {
        if (taken.length >= count) resolve();
      };
      arrived();
    });
  await first.start(take);
  const publisher = createPublisher(`mqtt://127.0.0.1:${port}`, () => {});
  try {
    publisher.publish({ topic: 'fernhollow/a', payload: '21.5', t: 0 });
    await until(1);
    await first.stop();
    publisher.publish({ topic: 'fernhollow/a', payload: '21.6', t: 1 });
    expect(publisher.waiting()).toBeGreaterThan(0);
    const second = brokerOn(port);
    await second.start(take);
    await until(2);
    expect(new Set(taken)).toEqual(new Set(['fernhollow/a 21.5', 'fernhollow/a 21.6']));
    await publisher.close();
    await second.stop();
  } finally {
    await publisher.close();
  }
});
