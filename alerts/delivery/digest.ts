import type { Database } from 'better-sqlite3';
import type { Farm } from '../../shared/farm/farm.ts';
import type { Cancel, Clock } from '../../shared/time.ts';
import { hourMs } from '../../shared/time.ts';
import { lastDue } from './daily.ts';
import { type DigestContent, digestText } from './digest-text.ts';
import { messageIdOf } from './email.ts';
import { createGoneChannels } from './gone-channels.ts';
import { createOutbox } from './outbox.ts';
import { channelsOf } from './route-plan.ts';

/** Runs an action at times of a cron pattern in a zone; returns how to end that. */
export type Schedule = (pattern: string, zone: string, action: () => void) => Cancel;

/** A digest that could not be made for so long (the machine was off) is of no more use. */
const lateMs = 4 * hourMs;

interface DigestNeeds {
  database: Database;
  clock: Clock;
  schedule: Schedule;
  farm: Farm;
  content: () => Omit<DigestContent, 'link'>;
  /** Messages were put in the outbox. */
  onQueued: () => void;
}

/**
 * The day's work by message, at its time on the site's clock. The pattern fires at that time and each full
 * hour besides: whether today's was made is in the outbox, so a time that daylight saving skips or brings
 * twice, and a machine that was off, give one digest a day all the same.
 */
export function createDigest({ database, clock, schedule, farm: firstFarm, content, onQueued }: DigestNeeds) {
  const outbox = createOutbox(database);
  const gone = createGoneChannels(database);
  let farm = firstFarm;
  let cancels: Cancel[] = [];

  const look = () => {
    const { digest, site, people } = farm.file;
    if (digest === undefined) return;
    const now = clock.now();
    const due = lastDue(digest, site.timeZone, now);
    if (due === null || now - due.at > lateMs) return;
    const key = `digest/${due.date}`;
    let queued = false;
    database
      .transaction(() => {
        const unreachable = gone.of(farm);
        for (const id of digest.to) {
          const person = people.find((one) => one.id === id);
          const [channel] = person ? channelsOf(farm, person, unreachable) : [];
          if (channel === undefined || outbox.usedChannels(key, id).length > 0) continue;
          const said = { ...content(), link: site.address ?? null };
          outbox.add({
            ...{ key, seq: null, alarm: null, thread: null, reason: 'digest', priority: 3 },
            ...{ recipient: id, channel, queuedAt: now, heldUntil: null },
            message: {
              ...digestText(said),
              messageId: messageIdOf(`digest.${due.date}`, id, site.id),
              data: { date: due.date, today: said.today },
            },
          });
          queued = true;
        }
      })
      .immediate();
    if (queued) onQueued();
  };

  const plan = () => {
    for (const cancel of cancels) cancel();
    cancels = [];
    const { digest, site } = farm.file;
    if (digest === undefined) return;
    const [hour, minute] = digest.at.split(':').map(Number);
    cancels = [
      schedule(`${minute} ${hour} * * *`, site.timeZone, look),
      schedule('0 * * * *', site.timeZone, look),
    ];
  };

  return {
    start(): void {
      plan();
      look();
    },
    setFarm(next: Farm): void {
      farm = next;
      plan();
    },
    stop(): void {
      for (const cancel of cancels) cancel();
    },
  };
}
