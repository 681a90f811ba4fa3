import type { EpochMs } from '../shared/time.ts';
import type { AlarmEntry } from './entries.ts';
import type { Roster } from './roster.ts';
import type { AlarmEvent } from './state.ts';

/** What is to be known of all alarms to find causes and consequences. */
type Relations = Pick<Roster, 'entries' | 'childrenOf'>;

/**
 * Whether an alarm may stand for others: it holds, and nobody took it out of service. What follows from a shelved
 * one stays behind it, for who shelved it knows of that (a gateway's sensors, the warning before a limit); but one
 * that rings in the place of weightier alarms must be heard itself.
 */
const stands = ({ memory, definition }: AlarmEntry) =>
  memory.holds && !memory.outOfService && !(definition.ringsForThem && memory.shelved);

/**
 * One cause, one alarm: while the alarm of a cause holds, those of its consequences that hold too are
 * suppressed by design. They stay listed and recorded, and come back into view if they outlive it. What a
 * person declared (`isDeclared`: a hot load stands in the room) is a cause as well, without an alarm of its own.
 */
export function createCauses(
  roster: Relations,
  apply: (entry: AlarmEntry, event: AlarmEvent) => void,
  isDeclared: (by: string) => boolean = () => false,
) {
  const standsNow = (by: string): boolean => {
    const cause = roster.entries.get(by);
    return cause === undefined ? isDeclared(by) : stands(cause);
  };
  /** Alarms whose cause is over but which may still end by themselves, by alarm and cause. */
  const lingering = new Map<string, { child: string; by: string; until: EpochMs }>();

  const foresee = (entry: AlarmEntry, t: EpochMs) => {
    for (const by of entry.definition.causes) if (standsNow(by)) apply(entry, { type: 'suppress', by, t });
  };
  const release = (child: AlarmEntry, by: string, cause: AlarmEntry | undefined, t: EpochMs) => {
    const { lingerMs, id } = child.definition;
    // One cause may bring back another (within its plan again, an unload answers alarms): no ring in between.
    if (child.memory.holds && child.memory.suppressedBy.includes(by)) foresee(child, t);
    const waits = lingerMs !== undefined && cause?.kind === 'system' && child.memory.holds;
    if (waits) lingering.set(`${id} ${by}`, { child: id, by, until: t + lingerMs });
    else apply(child, { type: 'release', by, t });
  };
  const follow = (entry: AlarmEntry, t: EpochMs) => {
    const by = entry.definition.id;
    for (const child of roster.childrenOf(by))
      if (!stands(entry)) release(child, by, entry, t);
      else if (child.memory.holds) apply(child, { type: 'suppress', by, t });
  };

  return {
    /** To be called when an alarm may have become a cause, or ceased to be one. */
    follow,
    /** To be called before an alarm is raised: what has a known cause does not ring first. */
    foresee,
    /** To be called when something was declared, or is no more. */
    declared(by: string, t: EpochMs): void {
      for (const child of roster.childrenOf(by))
        if (!isDeclared(by)) apply(child, { type: 'release', by, t });
        else if (child.memory.holds) apply(child, { type: 'suppress', by, t });
    },
    /** What has lingered long enough, or ended meanwhile, comes out from behind its cause. */
    due(now: EpochMs): (() => void)[] {
      const work: (() => void)[] = [];
      for (const [key, { child: id, by, until }] of lingering) {
        const child = roster.entries.get(id);
        const cause = roster.entries.get(by);
        // Forgotten once the release is seen to have held: one that could not be written is tried again.
        const isBehind = child?.memory.suppressedBy.includes(by) && !(cause && stands(cause));
        if (!child || !isBehind) lingering.delete(key);
        else if (!child.memory.holds || now >= until)
          work.push(() => apply(child, { type: 'release', by, t: now }));
      }
      return work;
    },
    /** Brings all suppression in line after a start or a reload: causes may have gone with their definitions. */
    mend(t: EpochMs): void {
      for (const entry of roster.entries.values()) {
        const { causes } = entry.definition;
        for (const by of entry.memory.suppressedBy) {
          if (!causes.includes(by) || !standsNow(by)) apply(entry, { type: 'release', by, t });
        }
        for (const by of causes)
          if (entry.memory.holds && isDeclared(by)) apply(entry, { type: 'suppress', by, t });
        follow(entry, t);
      }
    },
  };
}
