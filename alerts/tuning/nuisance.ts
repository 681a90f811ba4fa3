import type { AlarmJournalEntry, Priority } from '../../shared/alarms.ts';
import { dayMs, type EpochMs, minuteMs } from '../../shared/time.ts';
import { type Nuisance, type Offender, periodMs } from '../../shared/tuning.ts';
import { countByPeriod, floodsIn, periodOf } from './floods.ts';
import { standingsOf } from './standing.ts';

/** In view for longer than this, an alarm no longer tells anybody anything (ISA-18.2: stale). */
const staleMs = dayMs;
/** Over by itself sooner than this, nobody could have acted (ISA-18.2: fleeting). */
const fleetingMs = minuteMs;
const offendersShown = 10;

interface NuisanceInput {
  /** Inclusive. */
  from: EpochMs;
  /** Exclusive. */
  to: EpochMs;
  /** Journal lines of the span in the order they were written, led by the last line of each alarm before it. */
  lines: readonly AlarmJournalEntry[];
  /** Priority by the definition that holds now; null when there is none any more. */
  priorityOf: (alarm: string) => Priority | null;
}

/** Whether a line rang: it brought the alarm before people anew. */
const rang = ({ from, to }: Pick<AlarmJournalEntry, 'from' | 'to'>): boolean =>
  to === 'unacknowledged' && from !== 'unacknowledged';

/** What the alarms of a span asked of people, from the journal alone. */
export function nuisanceOf({ from, to, lines, priorityOf }: NuisanceInput): Nuisance {
  const inSpan = lines.filter(({ t }) => t >= from && t < to);
  const rings = inSpan.filter(rang);
  const counts = countByPeriod(rings.map(({ t }) => t));
  const floods = floodsIn(counts);
  const byPriority = { 1: 0, 2: 0, 3: 0, unknown: 0 };
  for (const { alarm } of rings) byPriority[priorityOf(alarm) ?? 'unknown'] += 1;
  const spanMs = Math.max(1, to - from);
  return {
    ...{ from, to, counts, floods, byPriority },
    alarms: rings.length,
    perDay: (rings.length * dayMs) / spanMs,
    periods: distribution(counts, Math.ceil((to - periodOf(from)) / periodMs)),
    floodShare: floods.reduce((sum, flood) => sum + flood.to - flood.from, 0) / spanMs,
    offenders: offendersIn(inSpan, priorityOf),
    stale: standingsOf(lines).filter(
      ({ since, until }) => (until ?? to) > from && (until ?? to) - since > staleMs,
    ),
  };
}

function distribution(counts: readonly [EpochMs, number][], periods: number): Nuisance['periods'] {
  const found = { none: Math.max(0, periods - counts.length), upTo2: 0, upTo5: 0, upTo10: 0, more: 0 };
  for (const [, count] of counts)
    found[count <= 2 ? 'upTo2' : count <= 5 ? 'upTo5' : count <= 10 ? 'upTo10' : 'more'] += 1;
  return found;
}

function offendersIn(
  lines: readonly AlarmJournalEntry[],
  priorityOf: NuisanceInput['priorityOf'],
): Offender[] {
  const offenders = new Map<string, Offender>();
  const rangAt = new Map<string, EpochMs>();
  let all = 0;
  for (const line of lines) {
    const { alarm, title, t, event } = line;
    const offender = offenders.get(alarm) ?? {
      ...{ alarm, title, count: 0, share: 0, chattering: 0, fleeting: 0 },
      priority: priorityOf(alarm),
    };
    offenders.set(alarm, offender);
    if (rang(line)) {
      all += 1;
      offender.count += 1;
      offender.title = title;
      rangAt.set(alarm, t);
    }
    if (event === 'chattering') offender.chattering += 1;
    if (event === 'cleared' && t - (rangAt.get(alarm) ?? Number.NEGATIVE_INFINITY) < fleetingMs)
      offender.fleeting += 1;
  }
  return [...offenders.values()]
    .filter(({ count }) => count > 0)
    .map((offender) => ({ ...offender, share: offender.count / all }))
    .sort((a, b) => b.count - a.count || (a.alarm < b.alarm ? -1 : 1))
    .slice(0, offendersShown);
}
