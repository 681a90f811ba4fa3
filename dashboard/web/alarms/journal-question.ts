import { dayMs, type EpochMs } from '../../../shared/time.ts';

/** What of the journal is looked at; the empty string is everything. */
export interface JournalFilter {
  place: string;
  state: string;
  who: string;
  priority: string;
  /** Days back from now; the empty string is all that there is. */
  days: string;
}

export const everything: JournalFilter = { place: '', state: '', who: '', priority: '', days: '' };

/** A filter as the query of an address, and of the API but for its days. */
export function searchOf(filter: JournalFilter): URLSearchParams {
  const query = new URLSearchParams();
  for (const [name, value] of Object.entries(filter)) if (value.trim() !== '') query.set(name, value.trim());
  return query;
}

/** The filter that stands in an address. */
export function filterOf(search: string): JournalFilter {
  const query = new URLSearchParams(search);
  const value = (name: keyof JournalFilter) => query.get(name) ?? '';
  return {
    place: value('place'),
    state: value('state'),
    who: value('who'),
    priority: value('priority'),
    days: value('days'),
  };
}

/** The question to the server; `before` reads on behind a line. */
export function questionOf(filter: JournalFilter, now: EpochMs, before: number | null): string {
  const query = searchOf({ ...filter, days: '' });
  const days = Number(filter.days);
  // From a whole minute, so that the same look asks the same question.
  if (days > 0) query.set('from', String(Math.floor((now - days * dayMs) / 60_000) * 60_000));
  if (before !== null) query.set('before', String(before));
  return query.toString();
}
