import { createHmac, timingSafeEqual } from 'node:crypto';
import type { Database } from 'better-sqlite3';
import { z } from 'zod';
import { type Clock, dayMs } from '../../shared/time.ts';

/** A link in a message is good for so long; an alarm that is older is looked at on a screen. */
const linkLifeMs = dayMs;

/** What a link stands for: one raise of an alarm, told to one person. */
const linkContent = z.strictObject({
  a: z.string(),
  k: z.string(),
  s: z.number(),
  p: z.string(),
  e: z.number(),
});

export interface AckLink {
  alarm: string;
  /** Name of the raise. */
  thread: string;
  /** Journal line of the transition that was told. */
  seq: number;
  person: string;
}

/** Why a link cannot be used, in words; or what it stands for. */
export type OpenedLink = { ok: true; link: AckLink; id: string } | { ok: false; why: string };

/**
 * Links by which one person may acknowledge one alarm once. What they stand for is in them, signed
 * (HMAC-SHA256, 128 bits kept), so nothing is stored for links that nobody follows.
 */
export function createAckLinks(database: Database, clock: Clock, key: Buffer) {
  const mac = (text: string) => createHmac('sha256', key).update(text).digest().subarray(0, 16);
  const spent = database.prepare<[string], { who: string }>('SELECT who FROM alarm_link_used WHERE link = ?');
  const spend = database.prepare('INSERT OR IGNORE INTO alarm_link_used VALUES (?, ?, ?)');
  const forget = database.prepare('DELETE FROM alarm_link_used WHERE at < ?');

  const read = (token: string): OpenedLink => {
    const [text = '', sign = '', ...more] = token.split('.');
    const given = Buffer.from(sign, 'base64url');
    const right = mac(text);
    const forged = 'This link is not one of ours, or was cut short on its way.';
    if (more.length > 0 || given.length !== right.length || !timingSafeEqual(given, right))
      return { ok: false, why: forged };
    const content = linkContent.safeParse(JSON.parse(Buffer.from(text, 'base64url').toString()));
    if (!content.success) return { ok: false, why: forged };
    const { a: alarm, k: thread, s: seq, p: person, e } = content.data;
    if (clock.now() >= e) return { ok: false, why: 'This link has expired: it is good for a day.' };
    const used = spent.get(sign);
    if (used !== undefined)
      return { ok: false, why: `This link has been used already, by ${used.who}. Each works once.` };
    return { ok: true, link: { alarm, thread, seq, person }, id: sign };
  };

  return {
    /** The link for a message, or null for a site that has no address. */
    make(address: string | undefined, { alarm, thread, seq, person }: AckLink): string | null {
      if (address === undefined) return null;
      const content = { a: alarm, k: thread, s: seq, p: person, e: clock.now() + linkLifeMs };
      const text = Buffer.from(JSON.stringify(content)).toString('base64url');
      return `${address}/acknowledge/${text}.${mac(text).toString('base64url')}`;
    },
    /** Looks at a link; changes nothing. */
    read,
    /** Uses it up, in the caller's transaction. Returns false when somebody was faster. */
    spend(id: string, who: string): boolean {
      forget.run(clock.now() - 2 * linkLifeMs);
      return spend.run(id, clock.now(), who).changes > 0;
    },
  };
}
export type AckLinks = ReturnType<typeof createAckLinks>;
