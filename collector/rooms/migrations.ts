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

/** `air_told`: what forecasts were told of the air ahead and when, by which what was said then is found again. */
const told = `
CREATE TABLE air_told (
  seq INTEGER PRIMARY KEY,
  told_at INTEGER NOT NULL,
  -- Of one room, or NULL for what loads are to bring to all of them.
  room TEXT,
  body TEXT NOT NULL
) STRICT;

CREATE INDEX air_told_at ON air_told (told_at);
CREATE INDEX air_told_room ON air_told (room, told_at);
`;

export const roomMigrations: Migration[] = [
  { part: 'rooms', number: 1, name: 'what was learned of rooms', sql: fits },
  { part: 'rooms', number: 2, name: 'what forecasts were told of rooms', sql: told },
];
