import type { EpochMs } from '../shared/time.ts';
import type { AlarmEntry } from './entries.ts';
import type { Roster } from './roster.ts';

/** What is to be known of all alarms to find causes and consequences. */
type Relations = Pick<Roster, 'entries' | 'childrenOf'>;

import type { AlarmEvent } from './state.ts';

/** Whether an alarm may stand for others: it holds, and nobody took it out of service. */
const stands = ({ memory }: AlarmEntry) => memory.holds && !memory.outOfService;

/**
 * One cause, one alarm: while the alarm of a cause holds, those of its consequences that hold too are
 * suppressed by design. They stay listed and recorded, and come back into view if they outlive it.
 */
export function createCauses(roster: Relations, apply: (entry: AlarmEntry, event: AlarmEvent) => void) {
  const follow = (entry: AlarmEntry, t: EpochMs) => {
    const by = entry.definition.id;
    const type = stands(entry) ? 'suppress' : 'release';
    for (const child of roster.childrenOf(by))
      if (type === 'release' || child.memory.holds) apply(child, { type, by, t });
  };

  return {
    /** To be called when an alarm may have become a cause, or ceased to be one. */
    follow,
    /** To be called before an alarm is raised: what has a known cause does not ring first. */
    foresee(entry: AlarmEntry, t: EpochMs): void {
      for (const by of entry.definition.causes) {
        const cause = roster.entries.get(by);
        if (cause && stands(cause)) apply(entry, { type: 'suppress', by, t });
      }
    },
    /** Brings all suppression in line after a start or a reload: causes may have gone with their definitions. */
    mend(t: EpochMs): void {
      for (const entry of roster.entries.values()) {
        const { causes } = entry.definition;
        for (const by of entry.memory.suppressedBy) {
          const cause = roster.entries.get(by);
          if (!causes.includes(by) || !cause || !stands(cause)) apply(entry, { type: 'release', by, t });
        }
        follow(entry, t);
      }
    },
  };
}
