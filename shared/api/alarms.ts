import { z } from 'zod';
import { alarmAct, alarmJournalEntry } from '../alarms.ts';
import { instant, queryNumber } from './sites.ts';

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

/** Newest first. */
export const journalQuery = z.strictObject({
  alarm: z.string().min(1).max(200).optional(),
  from: queryNumber(instant.optional()),
  to: queryNumber(instant.optional()),
  limit: queryNumber(z.number().int().min(1).max(1_000).default(200)),
});

/** Ids hold a slash, so they are asked for as a parameter. */
export const alarmQuery = z.strictObject({ alarm: z.string().min(1).max(200) });

export const journal = z.array(alarmJournalEntry);
