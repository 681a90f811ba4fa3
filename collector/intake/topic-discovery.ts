import mqtt, { type IClientOptions, type MqttClient } from 'mqtt';
import type { AcceptMessage } from '../../shared/ports.ts';
import { type Cancel, type Clock, minuteMs, secondMs } from '../../shared/time.ts';

export interface TopicDiscoveryParts {
  url: string;
  /** How the main client connects; this one leaves no session and no will behind. */
  options: IClientOptions;
  /** Whether a topic already reaches intake by the main client. */
  placed(topic: string): boolean;
  accept: AcceptMessage;
  clock: Clock;
  log: (level: 'info' | 'warn' | 'error', text: string, error?: unknown) => void;
}

/** A broker that carries much else is looked at for a while and then left alone. */
const mostInWindow = 5000;
const windowMs = 10 * secondMs;
const pauseMs = 10 * minuteMs;

/**
 * Listens to every topic of a broker, so that sensors nobody placed yet can be found. A connection of its
 * own, at QoS 0 and without a session: a subscription to everything on the main one would fill
 * the queue that the broker keeps for readings while the collector is away.
 */
export function createTopicDiscovery(parts: TopicDiscoveryParts) {
  const { url, options, placed, accept, clock, log } = parts;
  let client: MqttClient | undefined;
  let cancelReopen: Cancel | undefined;
  let windowFrom = 0;
  let inWindow = 0;

  const onMessage = (topic: string, payload: Buffer, retained: boolean) => {
    const receivedAt = clock.now();
    if (receivedAt - windowFrom > windowMs) {
      windowFrom = receivedAt;
      inWindow = 0;
    }
    if (++inWindow > mostInWindow) return pause();
    if (placed(topic)) return;
    try {
      accept({ topic, payload, retained, receivedAt });
    } catch (thrown) {
      log('warn', `broker: could not note the topic ${topic}`, thrown);
    }
  };

  const pause = () => {
    log('info', `broker: busy with other topics, so looking for new sensors waits ${pauseMs / minuteMs} min`);
    close();
    cancelReopen = clock.after(pauseMs, open);
  };

  const open = (): void => {
    close();
    const { will: _will, properties: _session, ...rest } = options;
    const opened = mqtt.connect(url, {
      ...rest,
      clientId: `${options.clientId}-finder`,
      clean: true,
      reconnectPeriod: 0,
      manualConnect: true,
      // Not the main client's, or what it has yet to be acknowledged would be sent by both.
      incomingStore: new mqtt.Store({ clean: false }),
      outgoingStore: new mqtt.Store({ clean: false }),
    });
    client = opened;
    opened.on('message', (topic, payload, packet) => onMessage(topic, payload, packet.retain));
    opened.on('connect', () => opened.subscribe('#', { qos: 0 }));
    // The main client tells of trouble with the broker, and opens this one again.
    opened.on('error', () => {});
    opened.connect();
  };

  const close = (): void => {
    cancelReopen?.();
    cancelReopen = undefined;
    client?.end(true);
    client = undefined;
  };

  return { open, close };
}
