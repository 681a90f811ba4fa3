import type { Migration } from '../../shared/ports.ts';

/** `room_fit`: what each night learned of each room, from its readings and unloads; made again from them if lost. */
const fits = `
CREATE TABLE room_fit (
  room TEXT NOT NULL,
  learned_at INTEGER NOT NULL,
  body TEXT NOT NULL,
  PRIMARY KEY (room, learned_at)
) STRICT, WITHOUT ROWID;
`;

export const roomMigrations: Migration[] = [
  { part: 'rooms', number: 1, name: 'what was learned of rooms', sql: fits },
];
