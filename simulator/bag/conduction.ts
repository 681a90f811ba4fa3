import type { Container } from '../../shared/farm/schema.ts';

const shells = 5;

/** Heat in a container as rings around its axis; each ring also loses through both ends. */
export interface Conduction {
  /**
   * One implicit step of the length given at making. `heatWPerKg` is set free evenly in the mass.
   * Returns the heat that went to the air [W, mean over the step] and changes `tempsC` in place.
   */
  step(tempsC: number[], airC: number, heatWPerKg: number): number;
  /** Volume share of each ring, from the axis outward. */
  shares: readonly number[];
  capacityJPerK: number;
}

/** Specific heat from dry matter and water [J/kg K]. */
const specificHeat = (moisture: number) => 1_500 * (1 - moisture) + 4_180 * moisture;

/**
 * Finite volumes with backward Euler: stable and free of overshoot at any step. A brick is taken as the
 * cylinder of the same cross-section and height.
 */
export function createConduction(
  container: Container,
  conductivityWPerMK: number,
  filmWPerM2K: number,
  stepS: number,
): Conduction {
  const { shape, massKg, moisture } = container;
  const area = shape.form === 'cylinder' ? (Math.PI * shape.diameterM ** 2) / 4 : shape.widthM * shape.depthM;
  const radius = Math.sqrt(area / Math.PI);
  const height = shape.heightM;
  const thickness = radius / shells;
  const endWPerM2K = 1 / (1 / filmWPerM2K + height / (5 * conductivityWPerMK));
  const capacityJPerK = massKg * specificHeat(moisture);

  const shares: number[] = [];
  const toAir: number[] = [];
  /** Conductance from ring i to ring i + 1. */
  const outward: number[] = [];
  for (let i = 0; i < shells; i += 1) {
    const share = ((i + 1) ** 2 - i ** 2) / shells ** 2;
    const face = 2 * Math.PI * (i + 1) * thickness * height;
    shares.push(share);
    const ends = 2 * share * area * endWPerM2K;
    if (i < shells - 1) {
      outward.push((face * conductivityWPerMK) / thickness);
      toAir.push(ends);
    } else toAir.push(ends + face / (1 / filmWPerM2K + thickness / (2 * conductivityWPerMK)));
  }

  const diagonal = shares.map(
    (share, i) =>
      (share * capacityJPerK) / stepS + toAir[i]! + (outward[i] ?? 0) + (i > 0 ? outward[i - 1]! : 0),
  );
  // The matrix never changes, so its elimination is done once.
  const pivot = new Float64Array(shells);
  for (let i = 0; i < shells; i += 1)
    pivot[i] = diagonal[i]! - (i > 0 ? outward[i - 1]! ** 2 / pivot[i - 1]! : 0);
  const right = new Float64Array(shells);

  return {
    shares,
    capacityJPerK,
    step(tempsC, airC, heatWPerKg) {
      const heat = heatWPerKg * massKg;
      for (let i = 0; i < shells; i += 1) {
        const stored = ((shares[i]! * capacityJPerK) / stepS) * tempsC[i]!;
        const carried = i > 0 ? (outward[i - 1]! / pivot[i - 1]!) * right[i - 1]! : 0;
        right[i] = stored + shares[i]! * heat + toAir[i]! * airC + carried;
      }
      let lost = 0;
      for (let i = shells - 1; i >= 0; i -= 1) {
        const next = i < shells - 1 ? outward[i]! * tempsC[i + 1]! : 0;
        tempsC[i] = (right[i]! + next) / pivot[i]!;
        lost += toAir[i]! * (tempsC[i]! - airC);
      }
      return lost;
    },
  };
}

export const shellCount = shells;
