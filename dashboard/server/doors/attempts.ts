import { AppError } from '../../../shared/errors.ts';
import { type Clock, type EpochMs, minuteMs } from '../../../shared/time.ts';

interface Tally {
  wrong: number;
  until: EpochMs;
}

const spanMs = 15 * minuteMs;
const mostKeys = 10_000;

/**
 * Counts wrong tries by key in memory; past `allowed` within a quarter of an hour the key waits. Keys are an
 * address, or an address with a name, never a name alone: a stranger who guesses cannot lock a person out.
 */
export function createAttempts({ clock, allowed }: { clock: Pick<Clock, 'now'>; allowed: number }) {
  const tallies = new Map<string, Tally>();
  const tallyOf = (key: string): Tally | undefined => {
    const tally = tallies.get(key);
    if (tally !== undefined && tally.until > clock.now() && tally.until - clock.now() <= spanMs) return tally;
    tallies.delete(key);
    return undefined;
  };

  return {
    /** Throws AppError 'too-many' with details.retryAfterS while the key must wait. */
    check(key: string): void {
      const tally = tallyOf(key);
      if (tally === undefined || tally.wrong < allowed) return;
      const retryAfterS = Math.ceil((tally.until - clock.now()) / 1_000);
      throw new AppError(
        'too-many',
        `Too many wrong tries from here; wait ${Math.ceil(retryAfterS / 60)} min. Other phones still work.`,
        { details: { retryAfterS } },
      );
    },
    wrong(key: string): void {
      const tally = tallyOf(key) ?? { wrong: 0, until: clock.now() + spanMs };
      tally.wrong += 1;
      tallies.delete(key);
      tallies.set(key, tally);
      if (tallies.size > mostKeys) tallies.delete(tallies.keys().next().value!);
    },
    right: (key: string): void => void tallies.delete(key),
  };
}
