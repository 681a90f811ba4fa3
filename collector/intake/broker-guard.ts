import type { AedesOptions, Client } from 'aedes';
import type { BrokerDoor, DeviceAccess } from '../../shared/ports.ts';
import { type Clock, minuteMs, secondMs } from '../../shared/time.ts';

/** Readings of one device in a second, and what it may have saved up: far above what sensors send. */
const perSecond = 200;
const mostSaved = 2_000;
/** Wrong passwords from one address in a minute before it must wait. */
const mostWrong = 20;

interface Known extends DeviceAccess {
  saved: number;
  at: number;
}

interface Parts {
  door: BrokerDoor;
  clock: Pick<Clock, 'now'>;
  /** Topics that a light or a horn may hear. */
  alarmTopics: string;
  log: (level: 'warn', text: string) => void;
}

const isBelow = (topic: string, root: string): boolean => topic === root || topic.startsWith(`${root}/`);

/** Whether a subscription asks for nothing but topics below `root` (OASIS MQTT 5.0, 4.7). */
const asksBelow = (filter: string, root: string): boolean => filter.startsWith(`${root}/`) || filter === root;

/** The lock of the built-in broker: who connects, what each may publish, hear and how fast. */
export function createBrokerGuard({ door, clock, alarmTopics, log }: Parts) {
  const known = new Map<Client, Known>();
  const wrong = new Map<string, { count: number; until: number }>();

  const addressOf = (client: Client): string =>
    (client.conn as { remoteAddress?: string }).remoteAddress ?? 'unknown';
  const waits = (address: string): boolean => {
    const tally = wrong.get(address);
    if (tally === undefined || tally.until <= clock.now()) return false;
    return tally.count >= mostWrong;
  };
  const countWrong = (address: string): void => {
    const now = clock.now();
    const tally = wrong.get(address);
    if (tally === undefined || tally.until <= now) wrong.set(address, { count: 1, until: now + minuteMs });
    else tally.count += 1;
    if (wrong.size > 1_000) wrong.delete(wrong.keys().next().value!);
  };
  const refusal = (returnCode: number, message: string) => Object.assign(new Error(message), { returnCode });

  const cancel = door.onRevoked((name) => {
    for (const [client, access] of known) if (access.name === name) client.close();
  });

  const authenticate: NonNullable<AedesOptions['authenticate']> = (client, user, password, callback) => {
    const address = addressOf(client);
    // Return codes of CONNACK: MQTT 3.1.1, table 3.1.
    if (waits(address)) return callback(refusal(3, 'too many wrong passwords from this address'), false);
    const access = user === undefined ? undefined : door.admit(user, password?.toString() ?? '');
    if (access === undefined) {
      countWrong(address);
      log('warn', `broker: ${address} gave no user and password of a device; turned away`);
      return callback(refusal(4, 'user or password is not right'), false);
    }
    known.set(client, { ...access, saved: mostSaved, at: clock.now() });
    callback(null, true);
  };

  return {
    authenticate,
    /** Why this client may not publish this, or undefined. */
    refusePublish(client: Client | null, topic: string): string | undefined {
      const access = client === null ? undefined : known.get(client);
      if (access === undefined) return 'not connected as a device';
      if (!isBelow(topic, access.topic)) return `${access.name} publishes only below ${access.topic}`;
      const now = clock.now();
      access.saved = Math.min(mostSaved, access.saved + ((now - access.at) / secondMs) * perSecond);
      access.at = now;
      if (access.saved < 1) return `${access.name} sends more than ${perSecond} messages in a second`;
      access.saved -= 1;
      return undefined;
    },
    mayHear(client: Client, filter: string): boolean {
      return known.get(client)?.hears === true && asksBelow(filter, alarmTopics);
    },
    forget: (client: Client): void => void known.delete(client),
    close: cancel,
  };
}
export type BrokerGuard = ReturnType<typeof createBrokerGuard>;
