import { describe, expect, it } from 'vitest';
import { createInProcessTransport } from '../../../../collector/intake/in-process-transport.ts';
import { createManualClock } from '../../../../shared/manual-clock.ts';
import type { InboundMessage } from '../../../../shared/ports.ts';

describe('the way in from this process', () => {
  it('delivers at once, at the time of its clock, and lets the store refuse', async () => {
    const clock = createManualClock(1000);
    const transport = createInProcessTransport({ clock });
    const got: InboundMessage[] = [];
    expect(() => transport.deliver('warm', '1')).toThrow(/not started/);
    await transport.start((message) => {
      if (got.length === 1) throw new Error('disk full');
      got.push(message);
    });
    clock.advanceBy(500);
    transport.deliver('warm', '21.5');
    expect(got).toEqual([{ topic: 'warm', payload: Buffer.from('21.5'), retained: false, receivedAt: 1500 }]);
    expect(() => transport.deliver('warm', '22')).toThrow('disk full');
    await transport.stop();
    expect(() => transport.deliver('warm', '22')).toThrow(/stopped/);
  });

  it('lets devices hear what the site publishes, and tells its state', async () => {
    const transport = createInProcessTransport({ clock: createManualClock(0) });
    const states: string[] = [];
    const heard: string[] = [];
    transport.onStatus((status) => states.push(status.state));
    const cancel = transport.onPublish((topic, payload) => heard.push(`${topic} ${payload}`));
    await transport.start(() => {});
    await transport.publish('horn', 'on');
    cancel();
    await transport.publish('horn', 'off');
    await transport.stop();
    expect(heard).toEqual(['horn on']);
    expect(states).toEqual(['connected', 'closed']);
  });
});
