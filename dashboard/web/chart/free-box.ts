/** A rectangle on a chart [px]; `top` is above. */
export interface Box {
  left: number;
  top: number;
  width: number;
  height: number;
}

const meet = (a: Box, b: Box): boolean =>
  a.left < b.left + b.width &&
  b.left < a.left + a.width &&
  a.top < b.top + b.height &&
  b.top < a.top + a.height;

/** The first of some places that meets nothing that is there; the first of all where each does. */
export const freeBox = (places: readonly Box[], taken: readonly Box[]): Box =>
  places.find((place) => !taken.some((other) => meet(place, other))) ?? places[0]!;
