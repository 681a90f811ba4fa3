import type { Database } from 'better-sqlite3';
import type { AlarmView } from '../../shared/alarms.ts';
import type { Farm } from '../../shared/farm/farm.ts';
import type { Transport } from '../../shared/ports.ts';
import { type Cancel, type Clock, secondMs } from '../../shared/time.ts';

/** Payloads of the beacon: the most urgent alarm that nobody has acknowledged. */
const beacons = { 1: 'high', 2: 'medium', 3: 'low' } as const;
const againMs = 30 * secondMs;

interface AnnouncerNeeds {
  database: Database;
  clock: Clock;
  farm: Farm;
  transport: Pick<Transport, 'publish' | 'onStatus' | 'status'>;
  /** Alarms that are not plainly normal. */
  views: () => readonly AlarmView[];
}

const prefixOf = ({ file }: Farm): string | null =>
  file.announce === false ? null : (file.announce?.topic ?? `shelfwarden/${file.site.id}`);

/** `high/warm-room.temperature` keeps its levels; what a topic may not hold is replaced. */
const topicOf = (prefix: string, alarm: string): string =>
  `${prefix}/alarms/${alarm.replace(/[+#\0]/g, '_')}`;

const payloadOf = ({ id, state, priority, title, advice, ringing, since, value, limit }: AlarmView): string =>
  JSON.stringify({ alarm: id, state, priority, ringing, title, advice, since, value, limit });

/** What the broker should hold: a state for each alarm, and one for a light or horn. */
function announcements(prefix: string, views: readonly AlarmView[]): Map<string, string> {
  const topics = new Map(views.map((view) => [topicOf(prefix, view.id), payloadOf(view)]));
  const ringing = views.filter((view) => view.ringing).map(({ priority }) => priority);
  const worst = ringing.length === 0 ? null : (Math.min(...ringing) as keyof typeof beacons);
  topics.set(`${prefix}/beacon`, worst === null ? 'off' : beacons[worst]);
  return topics;
}

/**
 * Keeps retained states on the site's broker true. What was published is remembered, so that states that are
 * over are cleared even when this process ended meanwhile; on each new connection all are published again.
 */
export function createAnnouncer({ database, clock, farm: firstFarm, transport, views }: AnnouncerNeeds) {
  const all = database.prepare<[], { topic: string; payload: string }>('SELECT * FROM alarm_announced');
  const put = database.prepare('INSERT OR REPLACE INTO alarm_announced VALUES (?, ?)');
  const drop = database.prepare('DELETE FROM alarm_announced WHERE topic = ?');
  /** What the broker of this connection is known to hold; null: nothing is known. */
  let held: Map<string, string> | null = null;
  let farm = firstFarm;
  let working = false;
  let again = false;
  let cancels: Cancel[] = [];
  let idle = () => {};

  const publish = async (topic: string, payload: string): Promise<void> => {
    if (payload === '') {
      await transport.publish(topic, payload, { retain: true });
      drop.run(topic);
      held?.delete(topic);
      return;
    }
    // Noted first: a state that might be out there is one that must be made true again.
    put.run(topic, payload);
    await transport.publish(topic, payload, { retain: true });
    held?.set(topic, payload);
  };

  const round = async (): Promise<void> => {
    const prefix = prefixOf(farm);
    const wanted = prefix === null ? new Map<string, string>() : announcements(prefix, views());
    const known = held ?? new Map<string, string>();
    held = known;
    const over = all.all().filter(({ topic }) => !wanted.has(topic));
    for (const { topic } of over) await publish(topic, '');
    for (const [topic, payload] of wanted) if (known.get(topic) !== payload) await publish(topic, payload);
  };

  const work = async (): Promise<void> => {
    if (working) {
      again = true;
      return;
    }
    working = true;
    try {
      do {
        again = false;
        if (transport.status().state !== 'connected') break;
        await round();
      } while (again);
    } catch {
      // The broker went away or the disk is full: all is published anew when it is back.
      held = null;
    } finally {
      working = false;
      idle();
    }
  };

  return {
    start(): void {
      const anew = () => {
        held = null;
        void work();
      };
      cancels = [
        transport.onStatus(({ state }) => state === 'connected' && anew()),
        clock.every(againMs, () => void work()),
      ];
      void work();
    },
    /** Alarms look different: tells the broker what changed. */
    changed: (): void => void work(),
    setFarm(next: Farm): void {
      farm = next;
      void work();
    },
    async stop(): Promise<void> {
      for (const cancel of cancels) cancel();
      if (working)
        await new Promise<void>((resolve) => {
          idle = resolve;
        });
    },
  };
}
