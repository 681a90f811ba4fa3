/**
 * Which rooms the wall shows on its turn number `turn`, at most `perPage` of them.
 * A room in alarm is on every page; when more are in alarm than fit, only those take turns.
 */
export function roomsOnPage<T extends { id: string }>(
  rooms: readonly T[],
  inAlarm: ReadonlySet<string>,
  perPage: number,
  turn: number,
): { shown: T[]; pages: number } {
  if (rooms.length <= perPage) return { shown: [...rooms], pages: 1 };
  const alarmed = rooms.filter(({ id }) => inAlarm.has(id));
  const pinned = alarmed.length < perPage ? alarmed : [];
  const turning = alarmed.length < perPage ? rooms.filter(({ id }) => !inAlarm.has(id)) : alarmed;
  const places = perPage - pinned.length;
  const pages = Math.max(1, Math.ceil(turning.length / places));
  const first = (turn % pages) * places;
  const shown = new Set([...pinned, ...turning.slice(first, first + places)]);
  // In the farm's own order, so that a room keeps its place as far as it can.
  return { shown: rooms.filter((room) => shown.has(room)), pages };
}
