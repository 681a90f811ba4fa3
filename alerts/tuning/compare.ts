import { type EpochMs, minuteMs } from '../../shared/time.ts';
import type { AlarmEpisode, BackTest } from '../../shared/tuning.ts';

const endOf = ({ clearedAt }: AlarmEpisode): EpochMs => clearedAt ?? Number.POSITIVE_INFINITY;

const overlap = (a: AlarmEpisode, b: AlarmEpisode): boolean =>
  a.alarm === b.alarm && a.raisedAt <= endOf(b) && b.raisedAt <= endOf(a);

/**
 * Pairs the alarms of two runs that tell of the same event: same alarm, holding at the same time, each once,
 * the earlier first. What finds no partner stands alone. Oldest first.
 */
export function pairEpisodes(
  now: readonly AlarmEpisode[],
  changed: readonly AlarmEpisode[],
): BackTest['pairs'] {
  const left = new Set(changed);
  const pairs: BackTest['pairs'] = now.map((one) => {
    const partner = changed.find((other) => left.has(other) && overlap(one, other));
    if (partner === undefined) return { now: one, changed: null, leadMin: null };
    left.delete(partner);
    return { now: one, changed: partner, leadMin: (one.raisedAt - partner.raisedAt) / minuteMs };
  });
  for (const alone of left) pairs.push({ now: null, changed: alone, leadMin: null });
  const startOf = (pair: BackTest['pairs'][number]) => (pair.now ?? pair.changed)!.raisedAt;
  return pairs.sort((a, b) => startOf(a) - startOf(b));
}
