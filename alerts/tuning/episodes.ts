import type { AlarmJournalEntry, Priority } from '../../shared/alarms.ts';
import type { AlarmEpisode } from '../../shared/tuning.ts';

const opens: ReadonlySet<string> = new Set(['raised', 'raised-again']);
const closes: ReadonlySet<string> = new Set(['cleared', 'one-shot-over']);

/**
 * Alarms from ring to clearing, from journal lines in the order they were written, be it the journal of the
 * live alarms or that of a replay. What people did between (acknowledge, shelve) leaves an episode whole.
 */
export function episodesOf(
  lines: Iterable<AlarmJournalEntry & { peak?: number | null }>,
  priorityOf: (alarm: string) => Priority,
): AlarmEpisode[] {
  const episodes: AlarmEpisode[] = [];
  const open = new Map<string, AlarmEpisode>();
  for (const { alarm, title, event, t, to, value, peak } of lines) {
    const current = open.get(alarm);
    if (opens.has(event) && current === undefined) {
      const priority = priorityOf(alarm);
      const suppressed = to === 'suppressed';
      const episode = { alarm, title, priority, raisedAt: t, clearedAt: null, peak: value, suppressed };
      open.set(alarm, episode);
      episodes.push(episode);
    } else if (event === 'released' && to === 'unacknowledged' && current?.suppressed) {
      // What held it back is over, and it is not: now it rings.
      current.raisedAt = t;
      current.suppressed = false;
    } else if (closes.has(event) && current !== undefined) {
      current.clearedAt = t;
      current.peak = peak ?? current.peak;
      open.delete(alarm);
    }
  }
  return episodes;
}
