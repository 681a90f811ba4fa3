/** Degree, coefficients and first direction numbers of dimensions 2-11; Joe & Kuo 2008, SIAM J. Sci. Comput. 30:2635-2654. */
const polynomials: readonly (readonly [degree: number, coefficients: number, first: readonly number[]])[] = [
  [1, 0, [1]],
  [2, 1, [1, 3]],
  [3, 1, [1, 3, 1]],
  [3, 2, [1, 1, 1]],
  [4, 1, [1, 1, 3, 3]],
  [4, 4, [1, 3, 5, 13]],
  [5, 2, [1, 1, 5, 5, 17]],
  [5, 4, [1, 1, 5, 5, 5]],
  [5, 7, [1, 1, 7, 11, 19]],
  [5, 11, [1, 1, 5, 1, 1]],
];
export const sobolDimensions = polynomials.length + 1;

function directions(dimension: number, bits: number): number[] {
  if (dimension === 0) return Array.from({ length: bits }, (_, bit) => 2 ** (bits - 1 - bit));
  const [degree, coefficients, first] = polynomials[dimension - 1]!;
  const m = [...first];
  for (let i = degree; i < bits; i++) {
    let next = m[i - degree]! ^ (m[i - degree]! << degree);
    for (let k = 1; k < degree; k++) if ((coefficients >> (degree - 1 - k)) & 1) next ^= m[i - k]! << k;
    m.push(next);
  }
  return m.slice(0, bits).map((value, bit) => value * 2 ** (bits - 1 - bit));
}

/**
 * The first 2^bits points of Sobol's sequence, row after row, each coordinate in the middle of its stratum, so
 * that every coordinate alone is exactly even over (0, 1).
 * @param dimensions 1-11
 * @param bits 1-20
 */
export function sobolPoints(bits: number, dimensions: number): Float64Array {
  const count = 2 ** bits;
  const points = new Float64Array(count * dimensions);
  for (let dimension = 0; dimension < dimensions; dimension++) {
    const direction = directions(dimension, bits);
    for (let index = 0; index < count; index++) {
      // Gray code of the index: the same set of points, cheaper order in one pass each
      const gray = index ^ (index >> 1);
      let x = 0;
      for (let bit = 0; bit < bits; bit++) if ((gray >> bit) & 1) x ^= direction[bit]!;
      points[index * dimensions + dimension] = (x + 0.5) / count;
    }
  }
  return points;
}
