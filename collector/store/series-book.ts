import type { Database } from 'better-sqlite3';

/** A channel's number in the tables, and its marks (see migrations.ts). */
export interface SeriesMarks {
  id: number;
  rolledTo: number;
  rawFrom: number;
  /** -1 while nothing follows this series. */
  forwardedTo: number;
}

interface SeriesRow extends SeriesMarks {
  channel: string;
}

const columns = `id, channel, rolled_to AS rolledTo, raw_from AS rawFrom,
  coalesce(forwarded_to, -1) AS forwardedTo`;

/**
 * Looks channels up, making them as they first appear.
 * Only what is known to be committed is kept in memory: a channel made inside a caller's transaction is
 * looked up anew until `refresh`, so a rollback leaves nothing wrong behind.
 */
export function createSeriesBook(database: Database) {
  const all = database.prepare<[], SeriesRow>(`SELECT ${columns} FROM series`);
  const byChannel = database.prepare<[string], SeriesRow>(`SELECT ${columns} FROM series WHERE channel = ?`);
  const insert = database.prepare('INSERT INTO series (channel) VALUES (?) ON CONFLICT DO NOTHING');
  const known = new Map<string, SeriesMarks>();
  const knownById = new Map<number, SeriesMarks>();
  let incomplete = true;

  const refresh = (): void => {
    if (!incomplete || database.inTransaction) return;
    for (const { channel, ...marks } of all.iterate()) {
      const entry = known.get(channel);
      if (entry !== undefined) continue;
      known.set(channel, marks);
      knownById.set(marks.id, marks);
    }
    incomplete = false;
  };
  refresh();

  return {
    /** Takes up channels that were made inside transactions of others. Does nothing inside one. */
    refresh,
    /** The channel's marks, or undefined when it never had a reading. */
    find: (channel: string): SeriesMarks | undefined => known.get(channel) ?? byChannel.get(channel),
    /** The channel's marks; the channel is made if it is new. */
    take(channel: string): SeriesMarks {
      const entry = known.get(channel);
      if (entry !== undefined) return entry;
      insert.run(channel);
      incomplete = true;
      return byChannel.get(channel)!;
    },
    /** Marks by number, of channels taken up by `refresh`. */
    byId: (id: number): SeriesMarks | undefined => knownById.get(id),
    /** Marks of every channel known, by name. */
    entries(): ReadonlyMap<string, SeriesMarks> {
      refresh();
      return known;
    },
  };
}
