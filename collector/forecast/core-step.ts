import { type ChainStep, stepCoreChain } from '../../shared/heat/core-chain.ts';

/** Outer layer, inner layer and core as numbers at the start of a state array. */
export const coreParts = 3;

/**
 * One fixed step of `stepCoreChain` as the affine map that it is: rows for outer, inner and core, columns for
 * those three, air, and heating [W/kg]. Worked out once per container and step length.
 */
export type CoreMap = Float64Array;
const columns = coreParts + 2;

export function coreMap(thermal: ChainStep['thermal'], dtS: number): CoreMap {
  const map = new Float64Array(coreParts * columns);
  for (let column = 0; column < columns; column++) {
    const unit = (index: number) => (index === column ? 1 : 0);
    const { outerC, innerC, coreC } = stepCoreChain(
      { outerC: unit(0), innerC: unit(1), coreC: unit(2) },
      { airC: unit(3), heatingWPerKg: unit(4), dtS, thermal },
    );
    map[column] = outerC;
    map[columns + column] = innerC;
    map[2 * columns + column] = coreC;
  }
  return map;
}

/** Moves the first three numbers of `state` on by the map's step. */
export function applyCore(map: CoreMap, state: Float64Array, airC: number, heatingWPerKg: number): void {
  const outer = state[0]!;
  const inner = state[1]!;
  const core = state[2]!;
  for (let row = 0; row < coreParts; row++) {
    const at = row * columns;
    state[row] =
      map[at]! * outer +
      map[at + 1]! * inner +
      map[at + 2]! * core +
      map[at + 3]! * airC +
      map[at + 4]! * heatingWPerKg;
  }
}
