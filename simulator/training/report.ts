import type { AlarmJournalEntry } from '../../shared/alarms.ts';
import type { FarmFile } from '../../shared/farm/schema.ts';
import type { EpochMs } from '../../shared/time.ts';

/** Something that really happened in a run. */
export interface Happening {
  t: EpochMs;
  /** Null while it lasts. */
  until: EpochMs | null;
  room: string;
  what: string;
}

export interface ReportLine {
  t: EpochMs;
  what: string;
  /** When a person acknowledged an alarm about it, and who; null when nobody did. Before `t` where one warned of it. */
  seenAt: EpochMs | null;
  seenBy: string | null;
}

const ringing = new Set(['unacknowledged', 'returned-unacknowledged', 'latched-unacknowledged']);
const quieted = new Set(['acknowledged', 'latched-acknowledged', 'normal']);

/** Alarms that speak of warmth or cold, or of what makes it. */
const ofWarmth = (alarm: string): boolean =>
  /^(high|low|predicted|no-|rate)/.test(alarm) && !alarm.includes('humidity');

/** An alarm may be late by this much and still speak of what has just passed. */
const graceMs = 3_600_000;

/**
 * Room of an alarm: named after a room (`high/warm.temperature`), a shelf (`rate/A1.temperature`) or a
 * sensor (`silent/warm-air`); undefined when it speaks of no place of the farm.
 */
function roomOfAlarm(alarm: string, farm: FarmFile): string | undefined {
  const about = alarm.slice(alarm.indexOf('/') + 1);
  const isAbout = (id: string) => about === id || about.startsWith(`${id}.`);
  const at = farm.sensors.find(({ id }) => isAbout(id))?.at;
  return farm.rooms.find((room) =>
    [room.id, ...room.racks.flatMap(({ shelves }) => shelves.map(({ id }) => id))].some(
      (place) => place === at || (at === undefined && isAbout(place)),
    ),
  )?.id;
}

const raises = ({ from, to }: AlarmJournalEntry): boolean => !ringing.has(from) && to === 'unacknowledged';
const minutes = (ms: number) => `${Math.round(ms / 60_000)} min`;

/** Lays what happened beside the alarm journal (in any order): who saw what, and when. Oldest first. */
export function reportOf(
  happenings: readonly Happening[],
  journal: readonly AlarmJournalEntry[],
  farm: FarmFile,
): ReportLine[] {
  const inOrder = [...journal].sort((a, b) => a.t - b.t || a.seq - b.seq);
  const line = ({ t, until, room, what }: Happening): ReportLine => {
    const about = inOrder.filter(
      (entry) =>
        entry.t >= t && entry.t <= (until ?? Infinity) + graceMs && roomOfAlarm(entry.alarm, farm) === room,
    );
    // What an alarm that stands has warned of rings no second one.
    const standing = new Map<string, AlarmJournalEntry>();
    for (const entry of inOrder) {
      if (entry.t >= t || !ofWarmth(entry.alarm) || roomOfAlarm(entry.alarm, farm) !== room) continue;
      if (raises(entry)) standing.set(entry.alarm, entry);
      else if (entry.to === 'normal') standing.delete(entry.alarm);
    }
    const [warned] = [...standing.values()].sort((a, b) => a.t - b.t);
    const raised = warned ?? about.find(raises);
    const seen = inOrder.find(
      (entry) =>
        raised !== undefined &&
        entry.t >= raised.t &&
        ringing.has(entry.from) &&
        quieted.has(entry.to) &&
        roomOfAlarm(entry.alarm, farm) === room,
    );
    const alarm =
      raised === undefined
        ? 'no alarm'
        : raised === warned
          ? `an alarm had warned ${minutes(t - raised.t)} before`
          : `alarm after ${minutes(raised.t - t)}`;
    return { t, what: `${what} (${alarm})`, seenAt: seen?.t ?? null, seenBy: seen?.who ?? null };
  };
  return [...happenings].sort((a, b) => a.t - b.t).map(line);
}
