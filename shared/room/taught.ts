import type { RoomFit } from './room-fit.ts';
import { ownGainsName, type RoomFigure, roomFigures, spokenFigure } from './words.ts';

/** A figure moved when it lies this part of its own half range away from where it was held to be. */
const worthSaying = 0.3;

const hasMoved = (before: RoomFigure, after: RoomFigure): boolean =>
  after.sure &&
  Math.abs(after.value - before.value) > (worthSaying * (before.high - before.low)) / 2 &&
  // Less than is told of a figure is no news.
  spokenFigure(after) !== spokenFigure(before);

/** What a night of learning changed in what is held of a room, one sentence for each figure that moved. */
export function taughtWords(before: RoomFit, after: RoomFit): string[] {
  const was = new Map(roomFigures(before).map((figure) => [figure.name, figure]));
  // Gains with bags in them and gains without are not the same figure.
  if (before.trainedDays > 0 && (before.bags === undefined) !== (after.bags === undefined))
    was.delete(ownGainsName);
  const moved = roomFigures(after).flatMap((figure) => {
    const old = was.get(figure.name);
    if (old === undefined || !hasMoved(old, figure)) return [];
    return `Learned since: ${figure.name} ${spokenFigure(figure)}, held to be ${spokenFigure(old)} before.`;
  });
  return moved.length > 0 ? moved : ['Learned since, with this load: the room is held to be as before.'];
}
