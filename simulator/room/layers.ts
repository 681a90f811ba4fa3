/** Layers of air from the floor up, and the walls and racks that they touch. */
export interface LayerSpec {
  layers: number;
  /** Heat capacity of all the air and of light things in it [J/K]. */
  airJPerK: number;
  structureJPerK: number;
  /** Air to structure, all layers together [W/K]. */
  airToStructureWPerK: number;
  structureToOutsideWPerK: number;
}

export interface LayerState {
  /** Floor first [°C]. */
  airC: number[];
  structureC: number;
}

export interface LayerFlows {
  outsideC: number;
  /** Outside or corridor air that trades places with the room's [W/K], and where it comes from. */
  freshWPerK: number;
  freshC: number;
  /** Mixing between neighbouring layers [W/K]. */
  mixingWPerK: number;
  /** Heat set free in each layer [W]. */
  heatW: readonly number[];
  /** Heat set free in walls and racks [W]. */
  structureW: number;
}

/**
 * One backward-Euler step over air and structure together. Warm air under cold turns over: there
 * mixing is twenty times as strong. Returns what passed to outside and fresh air [J].
 */
export function stepLayers(state: LayerState, spec: LayerSpec, flows: LayerFlows, stepS: number): number {
  const n = spec.layers;
  const each = spec.airJPerK / n / stepS;
  const wall = spec.airToStructureWPerK / n;
  const fresh = flows.freshWPerK / n;
  const mixing = (below: number) =>
    state.airC[below]! > state.airC[below + 1]! + 0.05 ? 20 * flows.mixingWPerK : flows.mixingWPerK;

  // Eliminate the layers for a unit of structure temperature as well as for the known right side,
  // then close the balance of the structure.
  const upper = new Float64Array(n);
  const known = new Float64Array(n);
  const byStructure = new Float64Array(n);
  for (let i = 0; i < n; i += 1) {
    const down = i > 0 ? mixing(i - 1) : 0;
    const up = i < n - 1 ? mixing(i) : 0;
    const pivot = each + wall + fresh + down + up - (i > 0 ? down * upper[i - 1]! : 0);
    upper[i] = up / pivot;
    const right = each * state.airC[i]! + fresh * flows.freshC + flows.heatW[i]!;
    known[i] = (right + (i > 0 ? down * known[i - 1]! : 0)) / pivot;
    byStructure[i] = (wall + (i > 0 ? down * byStructure[i - 1]! : 0)) / pivot;
  }
  for (let i = n - 2; i >= 0; i -= 1) {
    known[i]! += upper[i]! * known[i + 1]!;
    byStructure[i]! += upper[i]! * byStructure[i + 1]!;
  }
  let knownSum = 0;
  let byStructureSum = 0;
  for (let i = 0; i < n; i += 1) {
    knownSum += known[i]!;
    byStructureSum += byStructure[i]!;
  }
  const store = spec.structureJPerK / stepS;
  const shell = spec.structureToOutsideWPerK;
  state.structureC =
    (store * state.structureC + shell * flows.outsideC + flows.structureW + wall * knownSum) /
    (store + shell + spec.airToStructureWPerK - wall * byStructureSum);
  let lostW = shell * (state.structureC - flows.outsideC);
  for (let i = 0; i < n; i += 1) {
    state.airC[i] = known[i]! + byStructure[i]! * state.structureC;
    lostW += fresh * (state.airC[i]! - flows.freshC);
  }
  return lostW * stepS;
}
