import { createHash } from 'node:crypto';
import type { Database } from 'better-sqlite3';
import type { Farm } from '../../shared/farm/farm.ts';
import type { EpochMs } from '../../shared/time.ts';

const fingerprintOf = (url: string) => createHash('sha256').update(url).digest('hex').slice(0, 32);

/** Webhooks whose receiver said that it is gone (410). They are asked no more until their address changes. */
export function createGoneChannels(database: Database) {
  const all = database.prepare<[], { channel: string; fingerprint: string }>(
    'SELECT channel, fingerprint FROM delivery_gone',
  );
  const put = database.prepare('INSERT OR REPLACE INTO delivery_gone VALUES (?, ?, ?)');
  const drop = database.prepare('DELETE FROM delivery_gone WHERE channel = ?');
  return {
    /** Those of this farm file; a webhook with another address by now counts as new. */
    of(farm: Farm): Set<string> {
      const gone = new Set<string>();
      for (const { channel, fingerprint } of all.all()) {
        const webhook = farm.file.webhooks.find(({ id }) => id === channel);
        if (webhook !== undefined && fingerprintOf(webhook.url) === fingerprint) gone.add(channel);
        else drop.run(channel);
      }
      return gone;
    },
    note(farm: Farm, channel: string, at: EpochMs): void {
      const webhook = farm.file.webhooks.find(({ id }) => id === channel);
      if (webhook !== undefined) put.run(channel, fingerprintOf(webhook.url), at);
    },
    forget: (channel: string) => drop.run(channel),
  };
}
