import type { Container } from '../../shared/farm/schema.ts';
import type { Random } from '../random.ts';

/** A place in a container [mm], the origin at the middle of its floor. */
export interface Place {
  x: number;
  y: number;
  z: number;
}

/** The room inside a container, as the kernels see it. */
export interface Space {
  heightMm: number;
  halfWidthMm: number;
  halfDepthMm: number;
  volumeCm3: number;
  inside(place: Place): boolean;
  /** Distance to the nearest side or floor that a person can look through [mm]. */
  wallMm(place: Place): number;
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
      inside: ({ x, y, z }) => z >= 0 && z <= heightMm && x * x + y * y <= radius * radius,
      wallMm: ({ x, y, z }) => Math.min(z, radius - Math.hypot(x, y)),
    };
  }
  const halfWidthMm = shape.widthM * 500;
  const halfDepthMm = shape.depthM * 500;
  return {
    heightMm,
    halfWidthMm,
    halfDepthMm,
    volumeCm3: (4 * halfWidthMm * halfDepthMm * heightMm) / 1000,
    inside: ({ x, y, z }) =>
      z >= 0 && z <= heightMm && Math.abs(x) <= halfWidthMm && Math.abs(y) <= halfDepthMm,
    wallMm: ({ x, y, z }) => Math.min(z, halfWidthMm - Math.abs(x), halfDepthMm - Math.abs(y)),
  };
}

/** A place drawn evenly over the space. */
export function anywhere(space: Space, random: Random): Place {
  for (;;) {
    const place = {
      x: random.between(-space.halfWidthMm, space.halfWidthMm),
      y: random.between(-space.halfDepthMm, space.halfDepthMm),
      z: random.between(0, space.heightMm),
    };
    if (space.inside(place)) return place;
  }
}

/** A place near another one, still inside; the scatter is normal with `sdMm` each way. */
export function near(space: Space, centre: Place, sdMm: number, random: Random): Place {
  for (let tries = 0; tries < 20; tries += 1) {
    const place = {
      x: random.normal(centre.x, sdMm),
      y: random.normal(centre.y, sdMm),
      z: random.normal(centre.z, sdMm),
    };
    if (space.inside(place)) return place;
  }
  return centre;
}
