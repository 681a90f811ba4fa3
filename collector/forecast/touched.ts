import type { BatchState } from '../../shared/batches.ts';
import type { Change } from './air-book.ts';
import { stepOf } from './grid.ts';

/** What is known otherwise, by shelf. */
type Changes = ReadonlyMap<string, Change>;

/** First step in which the air of any shelf that a batch ever stood on is known otherwise; Infinity without one. */
export const everTouchedAt = ({ cohorts }: BatchState, changes: Changes): number =>
  Math.min(
    ...cohorts.flatMap(({ stays }) =>
      stays.map(({ shelf }) => changes.get(shelf ?? '')?.air ?? Number.POSITIVE_INFINITY),
    ),
  );

/** The earliest of what is known otherwise of the air around a batch while it stood there. */
export function touchOf({ cohorts }: BatchState, startStep: number, changes: Changes): Change {
  const touch: Change = { air: Number.POSITIVE_INFINITY, news: Number.POSITIVE_INFINITY };
  for (const { stays } of cohorts)
    for (let index = 0; index < stays.length; index++) {
      const { shelf, from } = stays[index]!;
      const change = shelf === null ? undefined : changes.get(shelf);
      const next = stays[index + 1];
      if (change === undefined || (next !== undefined && change.air >= stepOf(next.from))) continue;
      // The first shelf also stands for the time before the bags were placed.
      const since = index === 0 ? startStep : stepOf(from);
      touch.news = Math.min(touch.news, change.news);
      touch.air = Math.min(touch.air, Math.max(change.air, since));
    }
  return touch;
}
