import { z } from 'zod';
import { alarmAct, alarmJournalEntry, alarmState, priority } from '../alarms.ts';
import { instant } from '../instant.ts';
import { queryNumber } from './sites.ts';

/** Which alarm, and who does it: an act is journalled under that name. */
const addressed = { alarm: z.string().min(1).max(200), who: z.string().min(1).max(80) };

const [acknowledge, reset, shelve, unshelve, takeOut, putBack] = alarmAct.options;

export const alarmActRequest = z.discriminatedUnion('act', [
  acknowledge.extend(addressed),
  reset.extend(addressed),
  shelve.extend(addressed),
  unshelve.extend(addressed),
  takeOut.extend(addressed),
  putBack.extend(addressed),
]);

const name = z.string().min(1);
const filters = {
  alarm: name.max(200).optional(),
  /** Room or shelf. */
  place: name.max(60).optional(),
  /** State that it went to. */
  state: alarmState.optional(),
  who: name.max(80).optional(),
  /** Priority by the definition that holds now. */
  priority: queryNumber(priority.optional()),
  /** Inclusive. */
  from: queryNumber(instant.optional()),
  /** Exclusive. */
  to: queryNumber(instant.optional()),
  /** Only lines with a lower number: to read on where an answer ended. */
  before: queryNumber(z.number().int().min(1).optional()),
};

/** Which lines of the journal, newest first. */
export const journalQuery = z.strictObject({
  ...filters,
  limit: queryNumber(z.number().int().min(1).max(1_000).default(200)),
});

/** Ids hold a slash, so they are asked for as a parameter. */
export const alarmQuery = z.strictObject({ alarm: z.string().min(1).max(200) });

export const journalCsvQuery = z.strictObject({
  ...filters,
  limit: queryNumber(z.number().int().min(1).max(100_000).default(100_000)),
});

export const journal = z.array(alarmJournalEntry);

export const nuisanceQuery = z
  .strictObject({ from: queryNumber(instant), to: queryNumber(instant) })
  .refine(({ from, to }) => from < to, { path: ['to'], message: 'an instant after from' })
  .refine(({ from, to }) => to - from <= 366 * 86_400_000, {
    path: ['from'],
    message: 'an instant at most a year before to',
  });
