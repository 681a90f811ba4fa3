import type { Container } from '../../shared/farm/schema.ts';
import type { Random } from '../random.ts';

/** Places in a container [mm], x y z after one another, the origin at the middle of its floor. */
export type Places = Float64Array;

/** The room inside a container, as the kernels see it. */
export interface Space {
  heightMm: number;
  halfWidthMm: number;
  halfDepthMm: number;
  volumeCm3: number;
  inside(x: number, y: number, z: number): boolean;
  /** Distance to the nearest side or floor that a person can look through [mm]. */
  wallMm(x: number, y: number, z: number): number;
}

export function spaceOf({ shape }: Container): Space {
  const heightMm = shape.heightM * 1000;
  if (shape.form === 'cylinder') {
    const radius = shape.diameterM * 500;
    return {
      heightMm,
      halfWidthMm: radius,
      halfDepthMm: radius,
      volumeCm3: (Math.PI * radius ** 2 * heightMm) / 1000,
      inside: (x, y, z) => z >= 0 && z <= heightMm && x * x + y * y <= radius * radius,
      wallMm: (x, y, z) => Math.min(z, radius - Math.sqrt(x * x + y * y)),
    };
  }
  const halfWidthMm = shape.widthM * 500;
  const halfDepthMm = shape.depthM * 500;
  return {
    heightMm,
    halfWidthMm,
    halfDepthMm,
    volumeCm3: (4 * halfWidthMm * halfDepthMm * heightMm) / 1000,
    inside: (x, y, z) => z >= 0 && z <= heightMm && Math.abs(x) <= halfWidthMm && Math.abs(y) <= halfDepthMm,
    wallMm: (x, y, z) => Math.min(z, halfWidthMm - Math.abs(x), halfDepthMm - Math.abs(y)),
  };
}

/** Draws a place evenly over the space into `into` from `at` on. */
export function drawAnywhere(space: Space, random: Random, into: Float64Array, at: number): void {
  for (;;) {
    const x = random.between(-space.halfWidthMm, space.halfWidthMm);
    const y = random.between(-space.halfDepthMm, space.halfDepthMm);
    const z = random.between(0, space.heightMm);
    if (!space.inside(x, y, z)) continue;
    into[at] = x;
    into[at + 1] = y;
    into[at + 2] = z;
    return;
  }
}

/**
 * Draws a place near another, still inside, evenly over a cube of half-width `reachMm`. What would lie
 * outside after some tries stays where the other one is.
 */
export function drawNear(
  space: Space,
  centre: Float64Array,
  centreAt: number,
  reachMm: number,
  random: Random,
  into: Float64Array,
  at: number,
): void {
  const cx = centre[centreAt]!;
  const cy = centre[centreAt + 1]!;
  const cz = centre[centreAt + 2]!;
  into[at] = cx;
  into[at + 1] = cy;
  into[at + 2] = cz;
  for (let tries = 0; tries < 8; tries += 1) {
    const x = cx + random.between(-reachMm, reachMm);
    const y = cy + random.between(-reachMm, reachMm);
    const z = cz + random.between(-reachMm, reachMm);
    if (!space.inside(x, y, z)) continue;
    into[at] = x;
    into[at + 1] = y;
    into[at + 2] = z;
    return;
  }
}
