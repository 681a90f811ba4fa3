import { AppError } from '../../shared/errors.ts';
import type { UnloadDesk } from '../../shared/ports.ts';
import type { UnloadEvent } from '../../shared/unloads.ts';

/** Unloads of some rooms; what is of another is not there. */
export function narrowUnloads(desk: UnloadDesk, rooms: ReadonlySet<string>): UnloadDesk {
  const checkRoom = (room: string): void => {
    if (!rooms.has(room))
      throw new AppError('not-found', `The room ${room} is none of those that this screen shows.`);
  };
  const roomOf = (event: UnloadEvent): string =>
    'room' in event ? event.room : desk.unload(event.unload).view.room;
  return {
    async plan(question) {
      checkRoom(question.room);
      return desk.plan(question);
    },
    record(event) {
      checkRoom(roomOf(event));
      desk.record(event);
    },
    unload(id) {
      const detail = desk.unload(id);
      checkRoom(detail.view.room);
      return detail;
    },
    list: () => desk.list().filter(({ room }) => rooms.has(room)),
    room(id) {
      checkRoom(id);
      return desk.room(id);
    },
  };
}
