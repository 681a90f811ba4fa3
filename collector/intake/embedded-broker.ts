import { createServer, type Server, type Socket } from 'node:net';
import { createServer as createTlsServer, Server as TlsServer } from 'node:tls';
import { Aedes, type AedesOptions, type Client } from 'aedes';
import { AppError } from '../../shared/errors.ts';
import type { AcceptMessage, InboundMessage, Transport } from '../../shared/ports.ts';
import { type Clock, secondMs } from '../../shared/time.ts';
import type { BrokerGuard } from './broker-guard.ts';
import { maxPayloadBytes } from './decoders/decoder.ts';
import { createIntakeQueue, type IntakeQueue } from './intake-queue.ts';
import { listenNear } from './listen.ts';
import { cutPackets } from './packet-cutter.ts';
import { createStatusBoard } from './status-board.ts';

export interface EmbeddedBrokerParts {
  clock: Clock;
  log: (level: 'info' | 'warn' | 'error', text: string, error?: unknown) => void;
  /** Loopback unless devices have users and passwords. */
  host?: string;
  /** Where busy, the next free one is taken; 0 takes any. */
  port: number;
  maxConnections?: number;
  /** Who may connect and publish what; without it anybody on this machine (the demo). */
  guard?: BrokerGuard | undefined;
  /** Certificate and key, both PEM: the broker then speaks TLS alone. */
  tls?: { cert: string; key: string } | undefined;
}

export interface EmbeddedBroker extends Transport {
  /** Where it listens; throws AppError 'unavailable' before start. */
  address(): { host: string; port: number };
  /** Whether it speaks TLS. */
  readonly tls: boolean;
  /** Takes a renewed certificate into use for those who connect from now on; open connections stay. */
  renew(tls: { cert: string; key: string }): void;
}

const minVersion = 'TLSv1.2';
/** Room for the largest topic beside a payload that is still seen to be too large. */
const maxPacketBytes = 2 * maxPayloadBytes + 1024;
/** Retained messages kept, so that ever new topics cannot fill the memory. */
const maxRetainedTopics = 2000;
const maxRetainedBytes = 4096;

type AuthorizePublish = NonNullable<AedesOptions['authorizePublish']>;

/** A publish that waits to be on disk. */
interface Ticket {
  client: Client | null;
  qos: number;
  callback: (problem?: Error | null) => void;
}

/** An MQTT 3.1.1 broker in this process, for a site that has none. */
export function createEmbeddedBroker(parts: EmbeddedBrokerParts): EmbeddedBroker {
  const { clock, log, host = '127.0.0.1', port } = parts;
  const { maxConnections = 500, guard, tls } = parts;
  const board = createStatusBoard(clock, 'built-in broker, starting');
  const sockets = new Set<Socket>();
  const retained = new Set<string>();
  let broker: Aedes | undefined;
  let queue: IntakeQueue<Ticket> | undefined;
  let taken: number | undefined;
  let holding: string | undefined;
  let stopping = false;

  const tell = (): void => {
    if (stopping || taken === undefined) return;
    const clients = sockets.size === 1 ? '1 client' : `${sockets.size} clients`;
    const wait = holding === undefined ? '' : `; readings wait at their senders: ${holding}`;
    board.set('connected', `built-in broker on ${host}:${taken}, ${clients}${wait}`);
  };

  /** Here and not on routing: the broker acknowledges as soon as this calls back, before it routes. */
  const authorizePublish: AuthorizePublish = (client, packet, callback) => {
    if (stopping || queue === undefined) return callback(new Error('the broker is stopping'));
    const { topic, payload } = packet;
    const refusal = guard?.refusePublish(client, topic);
    if (refusal !== undefined) {
      log('warn', `broker: ${refusal}; disconnected`);
      return callback(new Error(refusal));
    }
    if (topic.startsWith('$')) return callback(new Error('topics that begin with $ belong to the broker'));
    const bytes = typeof payload === 'string' ? Buffer.from(payload) : payload;
    // `retain` asks to keep this fresh message; what is replayed from the store never comes by here.
    const message: InboundMessage = { topic, payload: bytes, retained: false, receivedAt: clock.now() };
    if (packet.retain) packet.retain = mayRetain(topic, bytes.length);
    queue.offer(message, { client, qos: packet.qos, callback });
  };

  const mayRetain = (topic: string, bytes: number): boolean => {
    if (bytes === 0) return retained.delete(topic);
    if (bytes > maxRetainedBytes || (retained.size >= maxRetainedTopics && !retained.has(topic)))
      return false;
    retained.add(topic);
    return true;
  };

  const take = (socket: Socket) => {
    sockets.add(socket);
    socket.on('close', () => {
      sockets.delete(socket);
      tell();
    });
    socket.setNoDelay(true);
    cutPackets(socket, maxPacketBytes, () =>
      log('warn', `broker: ${socket.remoteAddress} sent what is no MQTT or too large for it; disconnected`),
    );
    broker?.handle(socket);
    tell();
  };
  const server: Server =
    tls === undefined ? createServer(take) : createTlsServer({ ...tls, minVersion }, take);
  server.maxConnections = maxConnections;
  server.on('drop', () =>
    log('warn', `broker: more than ${maxConnections} connections; one was turned away`),
  );

  return {
    async start(accept: AcceptMessage) {
      queue = createIntakeQueue<Ticket>({
        accept,
        clock,
        stale: ({ client, qos }) => qos > 0 && (client === null || client.closed),
        settle: ({ callback }, stored) => callback(stored ? null : new Error('not stored')),
        onEmpty() {},
        onHolding(reason) {
          if (reason !== undefined && holding === undefined)
            log('error', `broker: readings are not acknowledged while the store refuses them: ${reason}`);
          if (reason === undefined) log('info', 'broker: the store takes readings again');
          holding = reason;
          tell();
        },
      });
      broker = await Aedes.createBroker({
        // With a bounded queue a burst while a subscriber leaves overruns it and ends the process.
        concurrency: 0,
        authorizePublish,
        ...(guard === undefined
          ? {}
          : {
              authenticate: guard.authenticate,
              authorizeSubscribe: (client, asked, callback) =>
                callback(null, guard.mayHear(client, asked.topic) ? asked : null),
            }),
        // What was cut is no longer what its sender meant.
        authorizeForward: (_client, packet) => (packet.payload.length > maxPayloadBytes ? null : packet),
        connectTimeout: 10 * secondMs,
        // A session that is away must not gather messages in memory; retained topics tell it what it missed.
        preConnect(_client, packet, callback) {
          packet.clean = true;
          callback(null, true);
        },
        // Who publishes waits for who listens, so a listener that has stopped reading must go soon.
        drainTimeout: 5 * secondMs,
      });
      broker.on(
        'error' as 'closed',
        ((error: unknown) => log('error', 'broker: failed', error)) as () => void,
      );
      if (guard !== undefined) broker.on('clientDisconnect', guard.forget);
      taken = await listenNear(server, host, port);
      if (port !== 0 && taken !== port)
        log('warn', `broker: port ${port} is in use; listening on ${host}:${taken} instead`);
      tell();
    },
    // Everything published here passes authorizePublish, so there is nothing to subscribe to.
    subscribe() {},
    publish(topic, payload, { retain = false } = {}) {
      return new Promise((resolve, reject) => {
        if (broker === undefined || stopping)
          return reject(new AppError('unavailable', 'The built-in broker does not run.'));
        const packet = { cmd: 'publish', topic, payload: Buffer.from(payload), qos: 0, dup: false } as const;
        const keep = retain && mayRetain(topic, packet.payload.length);
        broker.publish({ ...packet, retain: keep }, (problem) =>
          problem ? reject(new AppError('transport', problem.message, { cause: problem })) : resolve(),
        );
      });
    },
    status: board.status,
    onStatus: board.onStatus,
    tls: tls !== undefined,
    renew(next) {
      if (server instanceof TlsServer) server.setSecureContext({ ...next, minVersion });
    },
    address() {
      if (taken === undefined) throw new AppError('unavailable', 'The built-in broker does not listen yet.');
      return { host, port: taken };
    },
    async stop() {
      if (stopping) return;
      stopping = true;
      queue?.close();
      guard?.close();
      const closed = new Promise<void>((resolve) =>
        server.listening ? server.close(() => resolve()) : resolve(),
      );
      for (const socket of sockets) socket.destroy();
      await new Promise<void>((resolve) => (broker === undefined ? resolve() : broker.close(resolve)));
      await closed;
      board.set('closed', 'built-in broker, stopped');
    },
  };
}
