import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus';
import { normalQuantile } from './normal.ts';
import { inRange } from './range.ts';

/** Orders tried for each coordinate; the one that goes least with those before it is kept. */
const tries = 400;

/**
 * Standard normal points in mirrored pairs, each coordinate alone evenly spread with mean 0 and variance 1, and
 * nearly uncorrelated with the others: a Latin hypercube (McKay, Beckman & Conover 1979, Technometrics
 * 21:239-245). A few tens of them stand for a distribution that as many independent draws only hint at. Same
 * seed, same points.
 * @param count even, 2 to 4,096 @param dimensions 1 to 64 @throws AppError 'out-of-range' for others
 */
export function latinNormals(count: number, dimensions: number, seed: number): Float64Array[] {
  const pairs = Math.floor(inRange('number of points', count, 2, 4_096) / 2);
  inRange('dimensions of points', dimensions, 1, 64);
  const random = xoroshiro128plus(seed);
  for (let draw = 0; draw < 20; draw++) random.next();
  const under = (end: number): number => (random.next() >>> 0) % end;

  // The upper half of the strata; the lower is the mirror's.
  const levels = Float64Array.from({ length: pairs }, (_, level) =>
    normalQuantile(0.5 + (level + 0.5) / (2 * pairs)),
  );
  const scale = Math.sqrt(pairs / levels.reduce((sum, level) => sum + level * level, 0));
  const shuffled = (): Float64Array => {
    const column = levels.map((level) => level * scale);
    for (let place = pairs - 1; place > 0; place--) {
      const other = under(place + 1);
      const kept = column[place]!;
      column[place] = column[other]!;
      column[other] = kept;
    }
    return column.map((value) => (under(2) === 0 ? value : -value));
  };

  const columns: Float64Array[] = [];
  while (columns.length < dimensions) {
    let best = shuffled();
    let least = togetherness(best, columns);
    for (let tried = 1; tried < tries && columns.length > 0; tried++) {
      const column = shuffled();
      const together = togetherness(column, columns);
      if (together < least) [best, least] = [column, together];
    }
    columns.push(best);
  }
  return Array.from({ length: 2 * pairs }, (_, index) => {
    const side = index % 2 === 0 ? 1 : -1;
    return Float64Array.from(columns, (column) => side * column[index >> 1]!);
  });
}

/** Sum of squared products of one coordinate with each of others: how far it goes with them. */
function togetherness(column: Float64Array, others: readonly Float64Array[]): number {
  return others.reduce((sum, other) => {
    const product = column.reduce((total, value, index) => total + value * other[index]!, 0);
    return sum + product * product;
  }, 0);
}
