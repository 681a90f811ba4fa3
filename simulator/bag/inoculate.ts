import type { Inoculation } from '../../shared/bags.ts';
import type { Random } from '../random.ts';
import type { BagTruth } from './hidden.ts';
import type { Point } from './nearest.ts';
import type { Place, Space } from './space.ts';
import { anywhere, near } from './space.ts';

/** Kernels of hydrated wheat in a cubic centimetre, about. */
export const kernelsPerCm3 = 12;
/** Beyond this many the fronts meet within a kernel; more points only cost time. */
export const mostPoints = 4_000;

const vigour = (place: Place, random: Random): Point => ({
  ...place,
  delayMm: random.exponential(1.2),
  drag: random.between(0.85, 1.18),
});

/** Points partly mixed evenly, partly left in a few clumps where the spawn fell. */
function mixed(count: number, space: Space, evenness: number, random: Random): Point[] {
  const clumps = Array.from({ length: 2 + random.below(4) }, () => anywhere(space, random));
  const clumpSd = Math.cbrt(space.volumeCm3) * 2.2;
  return Array.from({ length: Math.min(mostPoints, Math.max(1, count)) }, () =>
    vigour(
      random.chance(evenness) ? anywhere(space, random) : near(space, random.pick(clumps), clumpSd, random),
      random,
    ),
  );
}

/** The one of a few places that is furthest from the wedges already lying: a hand spreads them. */
function spread(centres: readonly Place[], space: Space, random: Random): Place {
  const gap = (place: Place) =>
    Math.min(...centres.map((other) => Math.hypot(place.x - other.x, place.y - other.y, place.z - other.z)));
  const places = Array.from({ length: 3 }, () => anywhere(space, random));
  return places.reduce((best, place) => (gap(place) > gap(best) ? place : best));
}

/** A wedge of agar is a centimetre wide and grows from all over its surface. */
function wedges(pieces: number, space: Space, random: Random): Point[] {
  const centres: Place[] = [];
  for (let i = 0; i < pieces; i += 1) centres.push(spread(centres, space, random));
  return centres.flatMap((centre) =>
    Array.from({ length: 6 }, () => vigour(near(space, centre, 5, random), random)),
  );
}

/** Where growth starts in a fresh bag, and the share of its kernels that came in colonized. */
export function inoculate(
  inoculation: Inoculation,
  space: Space,
  truth: BagTruth,
  random: Random,
): { points: Point[]; colonized: number } {
  if (inoculation.way === 'agar-wedges')
    return { points: wedges(inoculation.pieces, space, random), colonized: 0 };
  if (inoculation.way === 'liquid-culture') {
    const count = random.poisson(Math.min(600, inoculation.volumeMl * truth.pointsPerMl));
    return { points: mixed(count, space, Math.min(1, truth.evenness + 0.15), random), colonized: 0 };
  }
  const colonized = 1 / (inoculation.partsPerSpawn + 1);
  const count = Math.round(kernelsPerCm3 * space.volumeCm3 * colonized * truth.pointShare);
  return { points: mixed(count, space, truth.evenness, random), colonized };
}
