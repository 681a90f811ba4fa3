import type { Migration } from '../../shared/ports.ts';

const setAside = `
CREATE TABLE influx_set_aside (
  line TEXT NOT NULL PRIMARY KEY,
  reason TEXT NOT NULL,
  at INTEGER NOT NULL
) STRICT, WITHOUT ROWID;
`;

/** Lines that InfluxDB will not take, kept with its reason; the readings themselves stay in the log. */
export const influxMigrations: Migration[] = [
  { part: 'influx', number: 1, name: 'lines set aside', sql: setAside },
];
