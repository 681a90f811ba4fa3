import type { Migration } from '../../shared/ports.ts';

/**
 * `kept_forecast`: forecasts of standing batches, four a day, until the batch is finished.
 * `finished_batch`: what each finished batch taught and how it had been forecast. Both follow from the log of
 * events and readings and are made again from them when history is brought in afterwards.
 */
const learning = `
CREATE TABLE kept_forecast (
  batch TEXT NOT NULL,
  cohort TEXT NOT NULL,
  as_of INTEGER NOT NULL,
  body TEXT NOT NULL,
  PRIMARY KEY (batch, cohort, as_of)
) STRICT, WITHOUT ROWID;

CREATE TABLE finished_batch (
  batch TEXT PRIMARY KEY,
  known_at INTEGER NOT NULL,
  body TEXT NOT NULL
) STRICT;
`;

/** What was taught of six traits says nothing of eight: it follows from the log and is learned again at the start. */
const eightTraits = 'DELETE FROM finished_batch;';

export const learningMigrations: Migration[] = [
  { part: 'learning', number: 1, name: 'kept forecasts and finished batches', sql: learning },
  { part: 'learning', number: 2, name: 'eight traits instead of six', sql: eightTraits },
];
