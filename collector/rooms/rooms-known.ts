import type { Farm } from '../../shared/farm/farm.ts';
import { fanFilm } from '../../shared/heat/film.ts';
import { createLocalHour } from '../../shared/local-hour.ts';
import type { RoomsKnown } from '../../shared/room/rooms-known.ts';
import { dayMs } from '../../shared/time.ts';
import type { FitBook, LearnedRoom } from './fit-book.ts';
import { pastLoads, type RecordedLoad } from './past.ts';

/** What was learned longer ago than this is another room's by now: its sensors fell silent, or nights failed. */
const goodForMs = 14 * dayMs;

interface RoomsKnownNeeds {
  book: Pick<FitBook, 'newest' | 'learnedAt'>;
  farm: () => Farm;
  loads: () => readonly RecordedLoad[];
  bagsW: RoomsKnown['bagsW'];
}

/** What rooms taught, as the store has it, for alarms: asked for every few minutes and of each signal. */
export function createRoomsKnown({ book, farm, loads, bagsW }: RoomsKnownNeeds): RoomsKnown {
  /** The newest that was asked for of each room: a fit takes a while to read. */
  const read = new Map<string, { learnedAt: number; learned: LearnedRoom | undefined }>();
  let zone: { name: string; localHour: (t: number) => number } | undefined;

  return {
    fitAt(room, t) {
      const learnedAt = book.learnedAt(room, t);
      if (learnedAt === null || t - learnedAt > goodForMs) return null;
      let known = read.get(room);
      if (known?.learnedAt !== learnedAt) {
        known = { learnedAt, learned: book.newest(room, t) };
        read.set(room, known);
      }
      return known.learned?.fit ?? null;
    },
    loadsAt: (room, t) =>
      pastLoads(
        farm(),
        loads().filter((load) => load.room === room && load.at <= t && (load.endedAt ?? Infinity) > t),
        fanFilm.factor,
      ),
    bagsW,
    localHour(t) {
      const name = farm().file.site.timeZone;
      if (zone?.name !== name) zone = { name, localHour: createLocalHour(name) };
      return zone.localHour(t);
    },
  };
}
