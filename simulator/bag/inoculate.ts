import type { Inoculation } from '../../shared/bags.ts';
import type { Random } from '../random.ts';
import { type Points, pointFields } from './arrivals.ts';
import type { BagTruth } from './hidden.ts';
import { drawAnywhere, drawNear, type Space } from './space.ts';

/** Kernels of hydrated wheat in a cubic centimetre, about. */
export const kernelsPerCm3 = 12;
/** Beyond this many the fronts meet within a kernel or so; more points only cost time. */
export const mostPoints = 2_500;

const newPoints = (count: number): Points => new Float64Array(count * pointFields);

/** How lively the point at `at` is: when it starts and how well it runs. */
export function drawVigour(random: Random, points: Points, at: number): void {
  points[at + 3] = random.exponential(1.2);
  points[at + 4] = random.between(0.85, 1.18);
}

/** Points partly mixed evenly, partly left in a few clumps where the spawn fell. */
function mixed(count: number, space: Space, evenness: number, random: Random): Points {
  const clumps = 2 + random.below(4);
  const centres = new Float64Array(3 * clumps);
  for (let i = 0; i < clumps; i += 1) drawAnywhere(space, random, centres, 3 * i);
  // A clump is as wide as about three quarters of a cube of the bag's volume.
  const reachMm = 3.8 * Math.cbrt(space.volumeCm3);
  const points = newPoints(Math.min(mostPoints, Math.max(1, count)));
  for (let at = 0; at < points.length; at += pointFields) {
    if (random.chance(evenness)) drawAnywhere(space, random, points, at);
    else drawNear(space, centres, 3 * random.below(clumps), reachMm, random, points, at);
    drawVigour(random, points, at);
  }
  return points;
}

const pointsPerWedge = 6;

/** Wedges of agar, a centimetre wide each and growing from all over; a hand spreads them. */
function wedges(pieces: number, space: Space, random: Random): Points {
  const centres = new Float64Array(3 * pieces);
  const candidate = new Float64Array(3);
  const gapMm = (lying: number) => {
    let least = Number.POSITIVE_INFINITY;
    for (let i = 0; i < lying; i += 1) {
      const [dx, dy, dz] = [0, 1, 2].map((axis) => candidate[axis]! - centres[3 * i + axis]!);
      least = Math.min(least, Math.hypot(dx!, dy!, dz!));
    }
    return least;
  };
  for (let piece = 0; piece < pieces; piece += 1) {
    let widest = -1;
    // Of three places the one furthest from the wedges that lie already.
    for (let tries = 0; tries < 3; tries += 1) {
      drawAnywhere(space, random, candidate, 0);
      const gap = gapMm(piece);
      if (gap <= widest) continue;
      widest = gap;
      centres.set(candidate, 3 * piece);
    }
  }
  const points = newPoints(pieces * pointsPerWedge);
  for (let i = 0; i < pieces * pointsPerWedge; i += 1) {
    drawNear(space, centres, 3 * Math.floor(i / pointsPerWedge), 8, random, points, i * pointFields);
    drawVigour(random, points, i * pointFields);
  }
  return points;
}

/** Where growth starts in a fresh bag, and the share of its kernels that came in colonized. */
export function inoculate(
  inoculation: Inoculation,
  space: Space,
  truth: BagTruth,
  random: Random,
): { points: Points; colonized: number } {
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
