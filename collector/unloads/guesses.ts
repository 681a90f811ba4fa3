import { type EpochMs, hourMs } from '../../shared/time.ts';
import type { UnloadAsked } from '../../shared/unload/derive.ts';

/** What nobody answered for so long is no longer asked. */
const askedForMs = 24 * hourMs;

/** Who ends what is over, and asks. */
export const itself = 'Shelfwarden';

/** Of questions that nobody answered, those that are still worth an answer. */
export const openGuesses = (asked: readonly UnloadAsked[], now: EpochMs): UnloadAsked[] =>
  asked.filter(({ askedAt }) => now - askedAt < askedForMs);
