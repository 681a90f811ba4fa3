import { describe, expect, it } from 'vitest';
import { createClient, mostWaitingBytes } from '../../../../../dashboard/server/stream/client.ts';

/** A response whose reader takes only what it is told to. */
function openSink() {
  const listeners = { drain: [] as (() => void)[], close: [] as (() => void)[] };
  const sink = {
    written: [] as string[],
    writableLength: 0,
    destroyed: false,
    write(text: string) {
      this.written.push(text);
      this.writableLength += text.length;
      return false;
    },
    end() {},
    destroy() {
      this.destroyed = true;
    },
    on(event: 'drain' | 'close', listener: () => void) {
      listeners[event].push(listener);
    },
  };
  let closed = false;
  const client = createClient(
    sink,
    () => 'WHOLE',
    () => {
      closed = true;
    },
  );
  return {
    sink,
    client,
    drain() {
      sink.writableLength = 0;
      for (const listener of listeners.drain) listener();
    },
    close() {
      for (const listener of listeners.close) listener();
      return closed;
    },
  };
}

describe('a stream to a screen', () => {
  it('is sent everything while it keeps up', () => {
    const { sink, client, drain } = openSink();
    client.send('a');
    drain();
    client.send('b');
    expect(sink.written).toEqual(['a', 'b']);
  });

  it('that falls behind costs bounded memory and gets the whole state once it has caught up', () => {
    const { sink, client, drain } = openSink();
    const change = 'x'.repeat(100_000);
    for (let turn = 0; turn < 1_000; turn++) client.send(change);
    expect(sink.writableLength).toBeLessThanOrEqual(mostWaitingBytes + 2 * change.length);
    const sent = sink.written.length;
    drain();
    expect(sink.written.slice(sent)).toEqual(['WHOLE']);
    client.send('next');
    expect(sink.written.at(-1)).toBe('next');
  });

  it('that never catches up is broken off after about a minute', () => {
    const { sink, client } = openSink();
    client.send('x'.repeat(mostWaitingBytes + 1));
    client.send('lost');
    for (let beat = 0; beat < 15; beat++) client.beat('beat');
    expect(sink.destroyed).toBe(false);
    client.beat('beat');
    expect(sink.destroyed).toBe(true);
  });

  it('tells when it is closed', () => {
    expect(openSink().close()).toBe(true);
  });
});
