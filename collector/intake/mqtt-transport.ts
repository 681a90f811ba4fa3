import mqtt, { type IClientOptions, type IPublishPacket, type MqttClient } from 'mqtt';
import { AppError } from '../../shared/errors.ts';
import type { InboundMessage, Transport } from '../../shared/ports.ts';
import { type Cancel, type Clock, secondMs } from '../../shared/time.ts';
import { backOffMs } from './back-off.ts';
import type { BrokerAccess } from './broker-access.ts';
import { createIntakeQueue, type IntakeQueue } from './intake-queue.ts';
import { brokerProblem, speaksOlderMqtt } from './mqtt-problems.ts';
import { createStatusBoard } from './status-board.ts';
import { createTopicDiscovery } from './topic-discovery.ts';
import { createTopicMap } from './topic-map.ts';

export interface MqttTransportParts {
  access: BrokerAccess;
  /** Stays the same from run to run: the broker keeps the session, and with it what came meanwhile, by it. */
  clientId: string;
  clock: Clock;
  log: (level: 'info' | 'warn' | 'error', text: string, error?: unknown) => void;
  /** Retained topic that says `online`, and by the last will `offline`. */
  presenceTopic?: string;
  /** Look at all of the broker's topics for sensors that nobody placed. */
  discover?: boolean;
}

/** How long the broker keeps the session of a collector that is away. */
const sessionExpiryS = 7 * 86_400;
/** MQTT 5 only; far above any reading, so that a larger one still arrives and is counted as too large. */
const maximumPacketSize = 33_554_432;
/**
 * MQTT 5 only: unacknowledged messages at once. mosquitto 2.0 keeps to it within a connection, but not in what it
 * sends again after a lost one.
 */
const receiveMaximum = 1000;
const graceMs = secondMs;

/** A message that waits to be on disk. */
interface Ticket {
  /** Which connection it came by. */
  connection: number;
  qos: number;
  /** Where the client waits for it before it reads on. */
  done: ((problem?: Error) => void) | undefined;
}
const quality0: Ticket = { connection: 0, qos: 0, done: undefined };

/**
 * A client of the site's own broker. A message is acknowledged after intake has it on disk and not
 * before; while the store refuses, the stream waits. Speaks MQTT 5, or 3.1.1 where that is all there is.
 */
export function createMqttTransport(parts: MqttTransportParts): Transport {
  const { access, clientId, clock, log, presenceTopic, discover = true } = parts;
  const { url } = access;
  const board = createStatusBoard(clock, `${url}, connecting`);
  const unsent = new Set<(problem: AppError) => void>();
  let map = createTopicMap<true>([]);
  const placed = (topic: string): boolean => map.at(topic).length > 0;
  let discovery: ReturnType<typeof createTopicDiscovery> | undefined;
  let client: MqttClient | undefined;
  let queue: IntakeQueue<Ticket> | undefined;
  /** The stream whose outgoing bytes, acknowledgements among them, wait for a commit. */
  let corked: MqttClient['stream'] | undefined;
  /** Counts connections: an acknowledgement belongs to the one its message came by. */
  let connection = 0;
  let attempt = 0;
  let trouble = '';
  let holding: string | undefined;
  let cancelRetry: Cancel | undefined;
  let stopping = false;
  let onAllSent = (): void => {};

  const tell = (): void => {
    if (stopping) return;
    const version = client?.options.protocolVersion === 5 ? 'MQTT 5' : 'MQTT 3.1.1';
    const wait = holding === undefined ? '' : `; readings wait at the broker: ${holding}`;
    if (client?.connected) board.set('connected', `${url}, ${version}${wait}`);
  };

  const sendSubscriptions = (wanted: readonly string[]): void => {
    if (client === undefined || wanted.length === 0) return;
    // Retain Handling 1: kept messages come once with a new subscription, not at every reconnect.
    const options =
      client.options.protocolVersion === 5 ? ({ qos: 1, rh: 1 } as const) : ({ qos: 1 } as const);
    client.subscribe([...wanted], options, (problem, granted) => {
      const refused = granted?.filter((grant) => grant.qos >= 128).map((grant) => grant.topic) ?? [];
      if (refused.length > 0) log('warn', `broker: refuses the subscription to ${refused.join(', ')}`);
      else if (problem && client?.connected) log('warn', `broker: subscribing failed: ${problem.message}`);
    });
  };

  /**
   * The client hands over the next message only after `done`, which also writes the acknowledgement. To
   * commit several at once, `done` is called at once and the stream corked until the commit: nothing
   * leaves before. While the store refuses, `done` waits too, which stops the reading.
   */
  const onMessage = (packet: IPublishPacket, done: (problem?: Error) => void) => {
    if (queue === undefined || stopping) return done(new Error('stopping'));
    const { topic, retain, qos } = packet;
    const payload = typeof packet.payload === 'string' ? Buffer.from(packet.payload) : packet.payload;
    const message: InboundMessage = { topic, payload, retained: retain, receivedAt: clock.now() };
    if (queue.refusing()) return queue.offer(message, { connection, qos, done });
    cork();
    queue.offer(message, qos === 0 ? quality0 : { connection, qos, done: undefined });
    done();
  };

  const cork = (): void => {
    if (corked === client?.stream) return;
    corked = client?.stream;
    corked?.cork();
  };

  const uncork = (): void => {
    corked?.uncork();
    corked = undefined;
  };

  const onConnect = (): void => {
    attempt = 0;
    trouble = '';
    tell();
    sendSubscriptions(map.filters);
    discovery?.open();
    if (presenceTopic !== undefined) publish(presenceTopic, 'online', { retain: true }).catch(() => {});
  };

  const onError = (error: Error): void => {
    trouble = brokerProblem(error);
    if (client?.options.protocolVersion !== 5 || !speaksOlderMqtt(error)) return;
    client.options.protocolVersion = 4;
    delete client.options.properties;
    trouble = 'it speaks MQTT 3.1.1';
    attempt = 0;
  };

  const onClose = (): void => {
    connection++;
    // What waited in it went with it, unsent.
    corked = undefined;
    discovery?.close();
    if (stopping || cancelRetry !== undefined) return;
    const delayMs = backOffMs(attempt++, clientId);
    const words = trouble === '' ? 'the connection was lost' : trouble;
    if (board.status().state !== 'away') log('warn', `broker: ${url} is away: ${words}`);
    board.set('away', `${url} is away: ${words}`);
    cancelRetry = clock.after(delayMs, () => {
      cancelRetry = undefined;
      if (client === undefined || stopping) return;
      // The same stores again, or what was published and not yet acknowledged would be forgotten.
      client.reconnect({ incomingStore: client.incomingStore, outgoingStore: client.outgoingStore } as never);
    });
  };

  const publish: Transport['publish'] = (topic, payload, { retain = false } = {}) =>
    new Promise((resolve, reject) => {
      if (!client?.connected || stopping)
        return reject(new AppError('transport', `${url} is away, so nothing can be published.`));
      unsent.add(reject);
      const bytes = typeof payload === 'string' ? payload : Buffer.from(payload);
      client.publish(topic, bytes, { qos: 1, retain }, (problem) => {
        unsent.delete(reject);
        if (problem) reject(new AppError('transport', brokerProblem(problem), { cause: problem }));
        else resolve();
        if (unsent.size === 0) onAllSent();
      });
    });

  /** Resolves with the work, or after a second of grace without it. */
  const briefly = async (work: Promise<void>): Promise<void> => {
    let cancel: Cancel | undefined;
    const grace = new Promise<void>((resolve) => {
      cancel = clock.after(graceMs, resolve);
    });
    await Promise.race([work, grace]);
    cancel?.();
  };

  const end = async (ending: MqttClient): Promise<void> => {
    if (ending.connected && unsent.size > 0)
      await briefly(
        new Promise((resolve) => {
          onAllSent = resolve;
        }),
      );
    // With anything still on its way the client would wait for a broker that may not answer.
    const force = !ending.connected || Object.keys(ending.outgoing).length > 0;
    await briefly(new Promise((resolve) => ending.end(force, () => resolve())));
    ending.stream.destroy();
  };

  const options = (): IClientOptions => ({
    clientId,
    clean: false,
    protocolVersion: 5,
    // Without it an MQTT 5 session ends with the connection, whatever `clean` says.
    properties: { sessionExpiryInterval: sessionExpiryS, maximumPacketSize, receiveMaximum },
    keepalive: 30,
    connectTimeout: 10 * secondMs,
    manualConnect: true,
    // These outlive a connection that ends while packets of it are still being worked through.
    incomingStore: new mqtt.Store({ clean: false }),
    outgoingStore: new mqtt.Store({ clean: false }),
    // The clock decides when to try again.
    reconnectPeriod: 0,
    username: access.username,
    password: access.password,
    ca: access.ca,
    cert: access.cert,
    key: access.key,
    ...(presenceTopic !== undefined && {
      will: { topic: presenceTopic, payload: Buffer.from('offline'), qos: 1, retain: true },
    }),
  });

  return {
    async start(accept) {
      queue = createIntakeQueue<Ticket>({
        accept,
        clock,
        stale: (ticket) => ticket.qos > 0 && ticket.connection !== connection,
        // An error sends no acknowledgement. On a new connection the old packet id may mean another message.
        settle({ done, connection: came }, stored) {
          done?.(stored && came === connection ? undefined : new Error('not stored'));
        },
        onEmpty: uncork,
        onHolding(reason) {
          if (reason !== undefined && holding === undefined)
            log('error', `broker: readings are not acknowledged while the store refuses them: ${reason}`);
          if (reason === undefined) log('info', 'broker: the store takes readings again');
          holding = reason;
          tell();
        },
      });
      client = mqtt.connect(url, options());
      if (discover)
        discovery = createTopicDiscovery({ url, options: client.options, placed, accept, clock, log });
      client.handleMessage = onMessage;
      client.on('connect', onConnect);
      client.on('error', onError);
      client.on('close', onClose);
      client.connect();
    },
    subscribe(wanted) {
      const { filters } = map;
      const gone = filters.filter((filter) => !wanted.includes(filter));
      const added = wanted.filter((filter) => !filters.includes(filter));
      map = createTopicMap(wanted.map((filter) => ({ filter, value: true })));
      if (!client?.connected) return;
      if (gone.length > 0) client.unsubscribe(gone);
      sendSubscriptions(added);
    },
    publish,
    status: board.status,
    onStatus: board.onStatus,
    async stop() {
      if (stopping) return;
      if (presenceTopic !== undefined && client?.connected)
        publish(presenceTopic, 'offline', { retain: true }).catch(() => {});
      stopping = true;
      cancelRetry?.();
      discovery?.close();
      queue?.close();
      // Still corked: not everything was stored, and an orderly end would send what waits.
      if (corked !== undefined) client?.stream.destroy();
      if (client !== undefined) await end(client);
      for (const reject of unsent) reject(new AppError('transport', 'The collector is stopping.'));
      unsent.clear();
      board.set('closed', `${url}, closed`);
    },
  };
}
