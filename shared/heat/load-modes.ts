import type { Thermal } from './container.ts';
import { type ShapedTerm, shapedTerms } from './one-term.ts';

/**
 * A container as lags beside each other: each mode follows the air at a rate of its own, and each temperature
 * of the container is a weighted sum of the modes. Every row of weights adds up to 1.
 */
export interface LoadModes {
  /** Rates [1/s]. */
  perS: Float64Array;
  /** Weights in the mean over the volume, on the mean surface, in the centre, in the middle of the nearest face. */
  mean: Float64Array;
  skin: Float64Array;
  centre: Float64Array;
  face: Float64Array;
}

type Body = Pick<Thermal, 'axes' | 'alphaM2PerS' | 'conductivityWPerMK'>;

interface Mode {
  perS: number;
  mean: number;
  centre: number;
  face: number;
}

interface Product extends Mode {
  /** Product of the terms' places along the axes: the higher, the faster and the less it has of the heat. */
  rank: number;
}

/** Slowest products kept as they are; terms taken along each axis to find them among. */
const keptModes = 24;
const termsPerAxis = 14;
const highestRank = 40;
/** Faster ones go together by their rates, so many lags over each tenfold of them. */
const lagsPerDecade = 5;
/** Rates of the three lags that hold the centre back at first, against the fastest mode kept. */
const holdBack = [1.25, 1.9, 2.8] as const;

/** Faces per volume [1/m]: a slab's half thickness L gives 1/L, a cylinder's radius 2/R. */
export const facePerM = (axes: Body['axes']): number =>
  axes.reduce((sum, { form, lengthM }) => sum + { slab: 1, cylinder: 2, sphere: 3 }[form] / lengthM, 0);

/**
 * Products of the axes' terms: coefficients multiply, rates add (Incropera, multidimensional effects). Those that
 * have hardly any of the heat are left to the last lag.
 */
function productsOf({ axes, alphaM2PerS, conductivityWPerMK }: Body, hWPerM2K: number): Product[] {
  const nearest = axes.reduce((least, axis) => (axis.lengthM < least.lengthM ? axis : least));
  return axes.reduce<Product[]>(
    (modes, axis) => {
      const { form, lengthM } = axis;
      const terms = shapedTerms(form, (hWPerM2K * lengthM) / conductivityWPerMK, termsPerAxis);
      const onFace = (term: ShapedTerm): number => (axis === nearest ? term.surface : term.c);
      return modes.flatMap((mode) =>
        terms.slice(0, Math.floor(highestRank / mode.rank)).map((term, index) => ({
          rank: mode.rank * (index + 1),
          perS: mode.perS + (term.zeta / lengthM) ** 2 * alphaM2PerS,
          mean: mode.mean * term.mean,
          centre: mode.centre * term.c,
          face: mode.face * onFace(term),
        })),
      );
    },
    [{ rank: 1, perS: 0, mean: 1, centre: 1, face: 1 }],
  );
}

/**
 * Lags that complete the centre: with them it starts at 1 with no slope and no curvature, as it does in a body
 * whose middle has not felt the air yet. The cut-off series alone would be up to 10 % off there.
 */
function heldBack(modes: readonly Mode[], fastestPerS: number): Mode[] {
  const moment = (power: number): number =>
    modes.reduce((sum, { centre, perS }) => sum + centre * (perS / fastestPerS) ** power, 0);
  const [level, slope, curve] = [1 - moment(0), -moment(1), -moment(2)];
  return holdBack.map((rate) => {
    const [a, b] = holdBack.filter((other) => other !== rate) as [number, number];
    const centre = (curve - slope * (a + b) + level * a * b) / ((rate - a) * (rate - b));
    return { perS: rate * fastestPerS, mean: 0, centre, face: 0 };
  });
}

/** Modes of about one rate as one lag: it takes from the mean, and has of the faces, what they do together. */
function together(modes: readonly Mode[]): Mode[] {
  const groups = new Map<number, Mode[]>();
  for (const mode of modes) {
    const rate = Math.floor(lagsPerDecade * Math.log10(mode.perS));
    const group = groups.get(rate);
    if (group === undefined) groups.set(rate, [mode]);
    else group.push(mode);
  }
  const sumOf = (group: Mode[], of: (mode: Mode) => number): number =>
    group.reduce((sum, mode) => sum + of(mode), 0);
  return [...groups.values()].map((group) => {
    const mean = sumOf(group, (mode) => mode.mean);
    return {
      perS: sumOf(group, (mode) => mode.mean * mode.perS) / mean,
      ...{ mean, centre: 0, face: sumOf(group, ({ face }) => face) },
    };
  });
}

/**
 * The slowest modes of a container at one film coefficient, and few lags for all faster ones. No heat is lost:
 * the last lag completes the mean to 1, at the rate at which the film takes heat at the first instant,
 * h A (T - Ta). Mean, centre and face within 1 % of a step at any time, and what it gave within 2 % from a minute
 * on.
 */
export function loadModes(body: Body, hWPerM2K: number): LoadModes {
  const products = productsOf(body, hWPerM2K).sort((a, b) => a.perS - b.perS);
  const slowest = products.slice(0, keptModes);
  const known = [...slowest, ...together(products.slice(keptModes))];
  const fastestPerS = slowest[slowest.length - 1]!.perS;
  const left = (of: (mode: Mode) => number): number => 1 - known.reduce((sum, mode) => sum + of(mode), 0);

  // Each mode's part of what the film takes from the mean is its part of the mean surface.
  const filmPerS = (body.alphaM2PerS / body.conductivityWPerMK) * hWPerM2K * facePerM(body.axes);
  const restSkin = left(({ mean, perS }) => (mean * perS) / filmPerS);
  const restMean = left(({ mean }) => mean);
  const rest: Mode = {
    perS: Math.max(known[known.length - 1]!.perS, (restSkin * filmPerS) / restMean),
    mean: restMean,
    centre: 0,
    face: left(({ face }) => face),
  };
  const all = [...known, ...heldBack(slowest, fastestPerS), rest];
  const skin = all.map(({ mean, perS }) => (mean * perS) / filmPerS);
  skin[all.length - 1] = restSkin;
  return {
    perS: Float64Array.from(all, ({ perS }) => perS),
    mean: Float64Array.from(all, ({ mean }) => mean),
    skin: Float64Array.from(skin),
    centre: Float64Array.from(all, ({ centre }) => centre),
    face: Float64Array.from(all, ({ face }) => face),
  };
}
