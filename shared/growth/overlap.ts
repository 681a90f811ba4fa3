/** A bag counts as ready from this share on. */
export const readyShare = 0.98;
/** Share still bare, as far as the film shows, when people call a bag full: the last corners are seen late. Assumed. */
export const leftBareWhenFull = 0.03;

/**
 * Spheres per point of space, overlap not taken off: (4/3) pi N r^3.
 * @param pointsPerCm3 points N [1/cm³], 0 or more
 * @param radiusMm radius of each sphere [mm]; below zero counts as zero
 */
export function coverage(pointsPerCm3: number, radiusMm: number): number {
  const radiusCm = Math.max(0, radiusMm) / 10;
  return (4 / 3) * Math.PI * pointsPerCm3 * radiusCm * radiusCm * radiusCm;
}

/** Radius at which spheres have a given coverage [mm]; Infinity without points. */
export const radiusForMm = (pointsPerCm3: number, covered: number): number =>
  10 * Math.cbrt(covered / ((4 / 3) * Math.PI * pointsPerCm3));

/**
 * Colonized share [0, 1]. Points that start together and overlap at random: Kolmogorov 1937, Johnson & Mehl
 * 1939, Avrami 1939-41, site-saturated, n = 3. With the points' density gamma-distributed over the bag the
 * mean over it is closed: (1 + y/k)^-k is the Laplace transform of a gamma distribution of mean 1, shape k.
 * @param covered from `coverage`
 * @param evenness k > 0; Infinity means evenly spread and gives the plain formula
 * @param startShare share colonized before these points started
 */
export function shareAt(covered: number, evenness: number, startShare = 0): number {
  const untouched =
    evenness === Number.POSITIVE_INFINITY
      ? Math.exp(-covered)
      : Math.exp(-evenness * Math.log1p(covered / evenness));
  return 1 - (1 - startShare) * untouched;
}

/**
 * Evenness k for points in clumps whose density is gamma-distributed with a shape of their own. Spheres reach
 * beyond a clump of few points and so even it out; the factor is fitted to points laid out at random, for shapes
 * 1.5 to 6 and 4 to 80 points to a clump (tests/reference/lattice.test.ts: within 4 points of share, against 10).
 * @param shape of the density from clump to clump, above 0
 * @param pointsPerClump mean number of points in a clump, above 0
 */
export const evennessOfClumps = (shape: number, pointsPerClump: number): number =>
  shape * (1 + 12 / pointsPerClump ** 0.75);

/** Coverage at which a share is reached; 0 when it was there at the start, Infinity for a share of 1. */
export function coverageFor(share: number, evenness: number, startShare = 0): number {
  if (share <= startShare) return 0;
  if (share >= 1) return Number.POSITIVE_INFINITY;
  // log of how much smaller the untouched part has become
  const shrunk = Math.log((1 - startShare) / (1 - share));
  return evenness === Number.POSITIVE_INFINITY ? shrunk : evenness * Math.expm1(shrunk / evenness);
}
