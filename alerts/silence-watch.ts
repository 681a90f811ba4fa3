import type { Reading } from '../shared/readings.ts';
import type { EpochMs } from '../shared/time.ts';
import type { WatchedUnload } from '../shared/unload/watched.ts';
import { groupLife } from './conditions/group-silence.ts';
import { isSilent, silentPeriods } from './conditions/silence.ts';
import type { AlarmEntry, SilenceEntry, SilenceGroupEntry } from './entries.ts';
import type { Roster } from './roster.ts';
import type { AlarmEvent } from './state.ts';

/**
 * Who has not been heard: sensors, single quantities of them, and groups that share a cause. The alarm of a
 * common cause comes first, so that those of its sensors are held back from the start. A probe for hot loads is
 * missed only while it stands in one.
 */
export function createSilenceWatch(
  roster: Roster,
  apply: (entry: AlarmEntry, event: AlarmEvent) => unknown,
  unloads: () => readonly WatchedUnload[] = () => [],
) {
  /** By channel, since when a probe stands in a load. */
  const standing = (): ReadonlyMap<string, EpochMs> =>
    new Map(unloads().flatMap(({ probe }) => (probe === null ? [] : [[probe.channel, probe.since]])));
  let probes: ReadonlyMap<string, EpochMs> = new Map();

  const isExpected = ({ definition: { inLoads } }: SilenceEntry) => inLoads === null || probes.has(inLoads);
  /** What stood unplugged until it was put into a load has from then on to speak. */
  const heardAt = ({ heardAt, definition: { inLoads } }: SilenceEntry): EpochMs =>
    inLoads === null ? heardAt : Math.max(heardAt, probes.get(inLoads) ?? heardAt);
  const isQuiet = (entry: SilenceEntry, now: EpochMs) =>
    isSilent(heardAt(entry), entry.definition.everyMs, now);

  /** Of a group, those that say something of it: who need not speak, and does not, is left out. */
  const members = ({ definition }: SilenceGroupEntry, now: EpochMs): SilenceEntry[] =>
    definition.members
      .flatMap((sensor) => roster.silenceOfSensor(sensor) ?? [])
      .filter((entry) => isExpected(entry) || !isQuiet(entry, now));
  const lives = (group: SilenceGroupEntry, now: EpochMs) => {
    const all = members(group, now);
    // One alone has nothing in common with anybody.
    if (all.length < 2) return 'alive';
    return groupLife(
      all.map((entry) => ({ heardAt: heardAt(entry), everyMs: entry.definition.everyMs })),
      now,
    );
  };

  const fallSilent = (entry: SilenceEntry, t: EpochMs) => {
    if (entry.memory.holds) return;
    const { name, everyMs } = entry.definition;
    entry.title = `${name}: nothing heard, expected every ${everyMs / 1000} s`;
    apply(entry, { type: 'condition', t, holds: true, since: heardAt(entry) });
  };
  const fallSilentTogether = (group: SilenceGroupEntry, t: EpochMs) => {
    const { name, raised } = group.definition;
    const all = members(group, t);
    group.spokeAt = null;
    group.title = `${name}: ${raised}`;
    apply(group, {
      type: 'condition',
      t,
      holds: true,
      since: Math.max(...all.map(heardAt)),
    });
    for (const member of all) fallSilent(member, t);
  };

  /** Power comes back to many within moments: those that stay silent get their own alarms a while after the first. */
  const isOver = (group: SilenceGroupEntry, now: EpochMs): boolean => {
    const all = members(group, now);
    if (all.every(({ memory }) => !memory.holds)) return true;
    if (all.every(({ memory }) => memory.holds)) return false;
    group.spokeAt ??= now;
    return now - group.spokeAt > silentPeriods * Math.max(...all.map(({ definition }) => definition.everyMs));
  };
  const speakTogether = (group: SilenceGroupEntry, t: EpochMs) => {
    const all = members(group, t);
    const back = all.filter(({ memory }) => !memory.holds).length;
    group.title = `${group.definition.name}: ${back} of ${all.length} sensors are heard again`;
    apply(group, { type: 'condition', t, holds: false, since: t });
  };

  const isNotMissed = (entry: SilenceEntry, t: EpochMs) => {
    entry.title = `${entry.definition.name}: it stands in no load any more`;
    apply(entry, { type: 'condition', t, holds: false, since: t });
  };

  return {
    /** A reading is a sign of life of its quantity and its sensor. */
    heard({ channel, receivedAt: t }: Reading): void {
      for (const entry of roster.silencesOf(channel)) {
        entry.heardAt = t;
        if (!entry.memory.holds) continue;
        entry.title = `${entry.definition.name}: it speaks again`;
        apply(entry, { type: 'condition', t, holds: false, since: t });
      }
    },

    /** What is to be written now; nothing to do in most seconds. */
    due(now: EpochMs): (() => void)[] {
      probes = standing();
      const work: (() => void)[] = [];
      const over: (() => void)[] = [];
      const silent: SilenceEntry[] = [];
      const groups: SilenceGroupEntry[] = [];
      for (const entry of roster.entries.values()) {
        if (entry.kind === 'group') {
          groups.push(entry);
          if (entry.memory.holds && isOver(entry, now)) over.unshift(() => speakTogether(entry, now));
        } else if (entry.kind === 'silence')
          if (!isExpected(entry)) {
            if (entry.memory.holds) work.push(() => isNotMissed(entry, now));
          } else if (!entry.memory.holds && isQuiet(entry, now)) silent.push(entry);
      }
      // The narrowest group first, or it would come into view as the wider one goes.
      work.push(...over);
      if (silent.length === 0) return work;
      const asleep = groups.filter(({ memory }) => !memory.holds);
      const life = new Map(asleep.map((group) => [group.definition.id, lives(group, now)]));
      const doubtful = new Set<string>();
      for (const group of asleep) {
        const { id, causes, members: sensors } = group.definition;
        const waits = [id, ...causes].some((one) => life.get(one) === 'unsure');
        if (waits) for (const sensor of sensors) doubtful.add(sensor);
        else if (life.get(id) === 'silent') work.push(() => fallSilentTogether(group, now));
      }
      for (const entry of silent)
        if (!doubtful.has(entry.definition.sensor)) work.push(() => fallSilent(entry, now));
      return work;
    },

    /** The clock was set: silence before is measured anew from there. */
    clockMoved(byMs: number): void {
      for (const entry of roster.entries.values()) if (entry.kind === 'silence') entry.heardAt += byMs;
    },
  };
}
