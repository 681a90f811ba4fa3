/** More neighbours than this tell little more, and each costs work at every reading. */
const mostNeighbours = 8;

/**
 * Those that stand next to `one` in a list that closes to a ring, `one` itself left out; all others when there
 * are few. In a ring each is the neighbour of as many as are its own, so a reading costs the same
 * work in a room of two hundred sensors as in one of nine.
 *
 * @param list in the order of the farm file, where what is written side by side mostly hangs side by side.
 */
export function nextInLine<Item extends { id: string }>(list: readonly Item[], one: Item): Item[] {
  const at = list.findIndex(({ id }) => id === one.id);
  const others = [...list.slice(at + 1), ...list.slice(0, at)];
  if (others.length <= mostNeighbours) return others;
  return [...others.slice(0, mostNeighbours / 2), ...others.slice(-mostNeighbours / 2)];
}
