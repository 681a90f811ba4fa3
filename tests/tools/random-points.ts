import { drawsOf } from '../../collector/forecast/seeded.ts';

/** Points in a box, three coordinates to each. */
export type Points = Float64Array;
export type Box = readonly [number, number, number];

const volumeOf = (box: Box): number => box[0] * box[1] * box[2];

/** Points quite at random. */
export function scattered(count: number, box: Box, seed: string): Points {
  const { even } = drawsOf(seed);
  return Float64Array.from({ length: 3 * count }, (_, index) => even() * box[index % 3]!);
}

/** Points that a hand spreads: each into the emptiest of three places. */
export function spreadByHand(count: number, box: Box, seed: string): Points {
  const { even } = drawsOf(seed);
  const points = new Float64Array(3 * count);
  for (let i = 0; i < points.length; i += 3) {
    let widest = -1;
    for (let tries = 0; tries < 3; tries++) {
      const place = box.map((length) => even() * length) as [number, number, number];
      let gap = Number.POSITIVE_INFINITY;
      for (let j = 0; j < i; j += 3)
        gap = Math.min(gap, Math.hypot(...place.map((at, axis) => at - points[j + axis]!)));
      if (gap <= widest) continue;
      widest = gap;
      points.set(place, i);
    }
  }
  return points;
}

/** Gamma-distributed number of mean 1 and shape k (Marsaglia & Tsang 2000, ACM TOMS 26:363-372), k >= 1. */
function gammaOf(shape: number, draws: ReturnType<typeof drawsOf>): number {
  const d = shape - 1 / 3;
  const c = 1 / Math.sqrt(9 * d);
  for (;;) {
    const x = draws.normal();
    const v = (1 + c * x) ** 3;
    if (v > 0 && Math.log(draws.even()) < x ** 2 / 2 + d - d * v + d * Math.log(v)) return (d * v) / shape;
  }
}

/** Points in a unit box of `side`^3 patches, each of which gets a gamma-distributed part of them. */
export function clumped(side: number, perPatch: number, shape: number, seed: string): Points {
  const draws = drawsOf(seed);
  const weights = Array.from({ length: side ** 3 }, () => gammaOf(shape, draws));
  const total = weights.reduce((sum, weight) => sum + weight, 0);
  const points: number[] = [];
  weights.forEach((weight, patch) => {
    const corner = [patch % side, Math.floor(patch / side) % side, Math.floor(patch / side ** 2)];
    const wanted = (weight / total) * perPatch * side ** 3;
    // A whole number of points whose mean is right.
    const count = Math.floor(wanted + draws.even());
    for (let i = 0; i < count; i++) for (const at of corner) points.push((at + draws.even()) / side);
  });
  return Float64Array.from(points);
}

/** Kernels on a cubic lattice, each a point with a chance. */
export function onLattice(side: number, chance: number, seed: string): Points {
  const { even } = drawsOf(seed);
  const points: number[] = [];
  for (let x = 0; x < side; x++)
    for (let y = 0; y < side; y++)
      for (let z = 0; z < side; z++)
        if (even() < chance) points.push((x + 0.5) / side, (y + 0.5) / side, (z + 0.5) / side);
  return Float64Array.from(points);
}

/**
 * Distance to the nearest point from places all over a box, in rising order: the share that spheres of a radius
 * cover is the share of places nearer than it.
 * @param walls false lets the box repeat itself without end
 */
export function nearestDistances(
  points: Points,
  box: Box,
  places: number,
  walls: boolean,
  seed: string,
): Float64Array {
  const { even } = drawsOf(seed);
  const cells = Math.max(1, Math.floor(Math.cbrt(points.length / 3 / 2)));
  const width = box.map((length) => length / cells);
  const grid: number[][] = Array.from({ length: cells ** 3 }, () => []);
  const cellOf = (x: number, axis: number) => Math.min(cells - 1, Math.floor(x / width[axis]!));
  for (let i = 0; i < points.length; i += 3)
    grid[
      (cellOf(points[i]!, 0) * cells + cellOf(points[i + 1]!, 1)) * cells + cellOf(points[i + 2]!, 2)
    ]!.push(i);

  const nearest = (at: readonly number[]): number => {
    const home = at.map(cellOf);
    let best = Number.POSITIVE_INFINITY;
    for (let ring = 0; ring <= cells; ring++) {
      // Nothing in this ring or beyond can be nearer than its inner wall.
      if (best <= ((ring - 1) * Math.min(...width)) ** 2 && ring > 0) break;
      for (let dx = -ring; dx <= ring; dx++)
        for (let dy = -ring; dy <= ring; dy++)
          for (let dz = -ring; dz <= ring; dz++) {
            if (Math.max(Math.abs(dx), Math.abs(dy), Math.abs(dz)) !== ring) continue;
            const cell = [home[0]! + dx, home[1]! + dy, home[2]! + dz];
            if (walls && cell.some((c) => c < 0 || c >= cells)) continue;
            const shift = cell.map((c, axis) => Math.floor(c / cells) * box[axis]!);
            const [cx, cy, cz] = cell.map((c) => ((c % cells) + cells) % cells) as [number, number, number];
            for (const i of grid[(cx * cells + cy) * cells + cz]!) {
              const d0 = points[i]! + shift[0]! - at[0]!;
              const d1 = points[i + 1]! + shift[1]! - at[1]!;
              const d2 = points[i + 2]! + shift[2]! - at[2]!;
              best = Math.min(best, d0 * d0 + d1 * d1 + d2 * d2);
            }
          }
    }
    return Math.sqrt(best);
  };

  return Float64Array.from({ length: places }, () => nearest(box.map((length) => even() * length))).sort();
}

/** Greatest distance between the share measured over all radii and one given as a function of the radius. */
export function worstShare(distances: Float64Array, shareAt: (radius: number) => number): number {
  let worst = 0;
  distances.forEach((distance, rank) => {
    worst = Math.max(worst, Math.abs((rank + 0.5) / distances.length - shareAt(distance)));
  });
  return worst;
}

/** Points per unit of volume. */
export const densityOf = (points: Points, box: Box): number => points.length / 3 / volumeOf(box);
