import type { AlarmView } from '../../shared/alarms.ts';
import { AppError } from '../../shared/errors.ts';
import type { LiveChange, LiveState } from '../../shared/live.ts';
import type { SiteDesk } from '../../shared/ports.ts';
import { narrowUnloads } from './narrow-unloads.ts';

const known = new WeakMap<SiteDesk, Map<string, SiteDesk>>();

/** The same desk for the same rooms, so that screens of the same rooms share one stream of events. */
export function narrowDesk(desk: SiteDesk, rooms: readonly string[]): SiteDesk {
  const key = JSON.stringify([...rooms].sort());
  const ofDesk = known.get(desk) ?? new Map<string, SiteDesk>();
  known.set(desk, ofDesk);
  const narrow = ofDesk.get(key) ?? createNarrowDesk(desk, new Set(rooms));
  ofDesk.set(key, narrow);
  return narrow;
}

/** What a wall screen that hangs for some rooms may see of a site: those rooms and what stands in them. */
function createNarrowDesk(desk: SiteDesk, rooms: ReadonlySet<string>): SiteDesk {
  const shelvesSeen = (): Set<string> =>
    new Set(
      desk
        .live()
        .farm.rooms.filter(({ id }) => rooms.has(id))
        .flatMap(({ racks }) => racks.flatMap(({ shelves }) => shelves.map(({ id }) => id))),
    );
  const channelsSeen = (): Set<string> => {
    const { channels, derived } = desk.live().farm;
    return new Set([...channels, ...derived].filter(({ room }) => rooms.has(room)).map(({ id }) => id));
  };
  /** What belongs to no room, such as the broker, concerns every screen. */
  const concerns = ({ room }: Pick<AlarmView, 'room'>): boolean => room === null || rooms.has(room);

  function narrow<T extends LiveState | LiveChange>(state: T): T {
    const { farm, channels, alarms, batches, forecasts, unloads } = state;
    const shelves = batches === undefined && forecasts === undefined ? new Set<string>() : shelvesSeen();
    const seen = channels === undefined ? new Set<string>() : channelsSeen();
    const stands = ({ shelf }: { shelf: string | null }) => shelf !== null && shelves.has(shelf);
    return {
      ...state,
      ...(farm && {
        farm: {
          ...farm,
          rooms: farm.rooms.filter(({ id }) => rooms.has(id)),
          channels: farm.channels.filter(({ room }) => rooms.has(room)),
          derived: farm.derived.filter(({ room }) => rooms.has(room)),
        },
      }),
      ...(channels && {
        channels: Object.fromEntries(Object.entries(channels).filter(([id]) => seen.has(id))),
      }),
      ...(alarms && { alarms: alarms.filter(concerns) }),
      ...(batches && { batches: batches.filter(({ cohorts }) => cohorts.some(stands)) }),
      ...(forecasts && { forecasts: forecasts.filter(stands) }),
      ...(unloads && {
        unloads: {
          open: unloads.open.filter(({ room }) => rooms.has(room)),
          guesses: unloads.guesses.filter(({ room }) => rooms.has(room)),
        },
      }),
    };
  }

  const checkBatch = (id: string): void => {
    if (!narrow(desk.live()).batches.some((batch) => batch.id === id))
      throw new AppError('not-found', `Batch ${id} does not stand in the rooms of this screen.`);
  };

  return {
    ...desk,
    unloads: narrowUnloads(desk.unloads, rooms),
    live: () => narrow(desk.live()),
    onChange: (listener) => desk.onChange((change) => listener(narrow(change))),
    async series(question) {
      if (!channelsSeen().has(question.channel))
        throw new AppError('not-found', `${question.channel} is not in the rooms of this screen.`);
      return desk.series(question);
    },
    async shelfAir(question) {
      if (!shelvesSeen().has(question.shelf))
        throw new AppError('not-found', `Shelf ${question.shelf} is not in the rooms of this screen.`);
      return desk.shelfAir(question);
    },
    async curve(cohort) {
      checkBatch(cohort.slice(0, cohort.lastIndexOf('/')));
      return desk.curve(cohort);
    },
    batch(id) {
      checkBatch(id);
      return desk.batch(id);
    },
    alarm(id) {
      const detail = desk.alarm(id);
      if (concerns(detail.alarm)) return detail;
      throw new AppError('not-found', `Alarm ${id} is of a room that this screen does not show.`);
    },
    actOnAlarm(alarm, act, who) {
      const found = desk.live().alarms.find(({ id }) => id === alarm);
      if (found !== undefined && !concerns(found))
        throw new AppError('refused', 'This alarm is of a room that this screen does not show.');
      return desk.actOnAlarm(alarm, act, who);
    },
    alarmJournal: (question) => {
      const ids = new Set(narrow(desk.live()).alarms.map(({ id }) => id));
      return desk.alarmJournal(question).filter(({ alarm }) => ids.has(alarm));
    },
  };
}
