import { get, type IncomingMessage } from 'node:http';
import { createServer as createPort, type Server } from 'node:net';
import { describe, expect, it, onTestFinished } from 'vitest';
import { listenOn } from '../../dashboard/server/listen.ts';
import { heartbeatMs } from '../../shared/api/stream.ts';
import { build } from '../unit/dashboard/server/build.ts';

interface Heard {
  id: string | undefined;
  event: string;
  data: unknown;
}

/** Opens a stream and hands its events over one by one. */
async function follow(url: string, headers: Record<string, string> = {}) {
  const response = await new Promise<IncomingMessage>((resolve, reject) =>
    get(url, { headers, agent: false }, resolve).on('error', reject),
  );
  onTestFinished(() => void response.destroy());
  response.setEncoding('utf8');
  const waiting: ((heard: Heard) => void)[] = [];
  const ready: Heard[] = [];
  let rest = '';
  response.on('data', (text: string) => {
    const frames = (rest + text).split('\n\n');
    rest = frames.pop()!;
    for (const frame of frames) {
      const field = (name: string) => new RegExp(`^${name}: (.*)$`, 'm').exec(frame)?.[1];
      if (field('event') === undefined) continue;
      const heard = { id: field('id'), event: field('event')!, data: JSON.parse(field('data')!) };
      const taker = waiting.shift();
      if (taker) taker(heard);
      else ready.push(heard);
    }
  });
  return {
    response,
    next: (): Promise<Heard> => {
      const heard = ready.shift();
      return heard ? Promise.resolve(heard) : new Promise((resolve) => waiting.push(resolve));
    },
    ended: new Promise<void>((resolve) => response.on('close', () => resolve())),
  };
}

async function serve() {
  const built = build();
  const { url } = await listenOn(built.app, { host: '127.0.0.1', port: 0 });
  return { ...built, url, stream: `${url}/api/sites/farm/stream` };
}

describe('the stream of a site', () => {
  it('begins with the state, goes on with changes, and beats each four seconds', async () => {
    const { stream, live, clock } = await serve();
    const { response, next } = await follow(stream);
    expect(response.statusCode).toBe(200);
    expect(response.headers['content-type']).toBe('text/event-stream');
    expect(response.headers['cache-control']).toBe('no-store');
    expect(response.headers['content-security-policy']).toContain("default-src 'none'");

    expect(await next()).toMatchObject({ event: 'state', data: live.state });
    live.change({ now: 5, notices: [] });
    expect(await next()).toMatchObject({ event: 'change', data: { now: 5, notices: [] } });
    clock.advanceBy(heartbeatMs);
    expect(await next()).toEqual({ id: undefined, event: 'heartbeat', data: { now: clock.now() } });
  });

  it('that breaks goes on where it was', async () => {
    const { stream, live } = await serve();
    const first = await follow(stream);
    await first.next();
    live.change({ now: 1 });
    const { id } = await first.next();
    first.response.destroy();
    live.change({ now: 2 });
    const second = await follow(stream, { 'last-event-id': id! });
    expect(await second.next()).toMatchObject({ event: 'change', data: { now: 2 } });
  });

  it('of training waits for a run, follows it, and says when it is gone', async () => {
    const { url, post, training } = await serve();
    const { next } = await follow(`${url}/api/sites/training/stream`);
    expect(await next()).toMatchObject({ event: 'absent' });
    await post('/api/training/start', { week: 'quiet', speed: 100 });
    expect(await next()).toMatchObject({ event: 'state', data: { kind: 'training' } });
    training.run()!.change({ now: 3 });
    expect(await next()).toMatchObject({ event: 'change', data: { now: 3 } });
    await post('/api/training/stop', {});
    expect(await next()).toMatchObject({ event: 'absent' });
  });

  it('is let go when the screen leaves', async () => {
    const { stream, get: ask } = await serve();
    const { response, next } = await follow(stream);
    await next();
    expect((await ask('/metrics')).body).toContain('shelfwarden_streams 1');
    response.destroy();
    let text = '';
    while (!text.includes('shelfwarden_streams 0')) {
      await new Promise(setImmediate);
      text = (await ask('/metrics')).body;
    }
  });

  it('is refused beyond two hundred, in words', async () => {
    const { stream } = await serve();
    const streams = await Promise.all(Array.from({ length: 200 }, () => follow(stream)));
    for (const { response } of streams) expect(response.statusCode).toBe(200);
    const { response } = await follow(stream);
    expect(response.statusCode).toBe(503);
    expect(response.headers['content-type']).toBe('application/problem+json');
  });

  it('to a screen that does not read stays bounded', async () => {
    const { stream, live } = await serve();
    const { response, next } = await follow(stream);
    await next();
    response.pause();
    const notices = [{ id: 'x', text: 'x'.repeat(200_000), since: 0 }];
    for (let turn = 0; turn < 500; turn++) live.change({ now: turn, notices });
    live.state.now = 4_242;
    response.resume();
    let heard = await next();
    let bytes = 0;
    while (heard.event !== 'state') {
      bytes += JSON.stringify(heard.data).length;
      heard = await next();
    }
    expect(heard.data).toMatchObject({ now: 4_242 });
    // 100 MB were offered at once.
    expect(bytes).toBeLessThan(1_500_000);
  });
});

describe('closing', () => {
  it('ends open streams and waits for none of them', async () => {
    const { app, stream } = await serve();
    const streams = await Promise.all(Array.from({ length: 20 }, () => follow(stream)));
    await Promise.all(streams.map(({ next }) => next()));
    const started = performance.now();
    await app.close();
    // Of itself it takes milliseconds; the rest is what a busy machine may take.
    expect(performance.now() - started).toBeLessThan(10_000);
    await Promise.all(streams.map(({ ended }) => ended));
  });
});

describe('opening the port', () => {
  const hold = (port: number): Promise<Server> =>
    new Promise((resolve) => {
      const server: Server = createPort().listen(port, '127.0.0.1', () => resolve(server));
      onTestFinished(() => void server.close());
    });
  const portOf = (server: Server) => (server.address() as { port: number }).port;

  it('moves from a busy port to the next free one and says so', async () => {
    const busy = portOf(await hold(0));
    const { app } = build();
    const listening = await listenOn(app, { host: 'localhost', port: busy });
    expect(listening.movedFrom).toBe(busy);
    expect(listening.port).toBeGreaterThan(busy);
    const { response } = await follow(`${listening.url}/health`);
    expect(response.statusCode).toBe(200);
  });

  it.each(['0.0.0.0', '192.168.1.20', '::', 'farm.example', '', '128.0.0.1', '127.0.0.1.example'])(
    'refuses %j with the reason',
    async (host) => {
      const { app } = build();
      await expect(listenOn(app, { host, port: 0 })).rejects.toMatchObject({
        code: 'refused',
        message: expect.stringContaining('nobody is set up'),
      });
      expect(app.server.listening).toBe(false);
    },
  );

  it('takes any port for 0 and tells its address', async () => {
    const { app } = build();
    const { url, port, movedFrom } = await listenOn(app, { host: '127.0.0.1', port: 0 });
    expect(url).toBe(`http://127.0.0.1:${port}`);
    expect(movedFrom).toBeNull();
  });
});
