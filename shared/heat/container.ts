import type { Container } from '../farm/schema.ts';
import { clamp, inRange } from '../stats/range.ts';
import { type Form, seriesTerms, type Transient, transient } from './one-term.ts';
import {
  conductivityLimitsWPerMK,
  diffusivityM2PerS,
  freeConvectionWPerM2K,
  radiationWPerM2K,
  specificHeatChen,
  specificHeatSiebel,
} from './properties.ts';

/** What a site may set otherwise; all have defaults. */
export interface ThermalSettings {
  specificHeat?: 'siebel' | 'chen';
  /** Film coefficient, all faces [W/(m2 K)]; left out: free convection plus radiation. 2 to 200. */
  hWPerM2K?: number;
  /** Surface to air, for free convection [K]; 2 K is usual for a bag that stands in its room (assumed). */
  differenceK?: number;
}

/** One direction in which heat leaves: form, length scale, Biot number. */
export interface Axis {
  form: Form;
  lengthM: number;
  biot: number;
}

export interface Thermal {
  /** Time constant of the core as the last of three lags in a row [s]; see `stepCoreChain`. */
  tauS: number;
  /** Each of the two lags of the outer layers that come before it [s]. */
  skinTauS: number;
  /** Mean lag of the core behind slowly changing air, and rise per heating rate over cp [s]: tau + 2 skin. */
  lagS: number;
  /** Time constant and centre coefficient of the slowest term of the product solution [s, 1]. */
  slowestTauS: number;
  c1: number;
  cpJPerKgK: number;
  alphaM2PerS: number;
  conductivityWPerMK: number;
  hWPerM2K: number;
  /** Of the shortest way out. */
  biot: number;
  /** Fo per second along the shortest way out. */
  fourierPerS: number;
  massKg: number;
  axes: readonly Axis[];
}

interface Length {
  form: Form;
  lengthM: number;
}

function lengthsOf(shape: Container['shape']): { lengths: Length[]; volumeM3: number; heightM: number } {
  if (shape.form === 'cylinder') {
    const { diameterM, heightM } = shape;
    return {
      lengths: [
        { form: 'cylinder', lengthM: diameterM / 2 },
        { form: 'slab', lengthM: heightM / 2 },
      ],
      volumeM3: (Math.PI / 4) * diameterM ** 2 * heightM,
      heightM,
    };
  }
  const edges = [shape.widthM, shape.depthM, shape.heightM];
  return {
    lengths: edges.map((edge) => ({ form: 'slab', lengthM: edge / 2 })),
    volumeM3: edges.reduce((product, edge) => product * edge, 1),
    heightM: shape.heightM,
  };
}

interface Mode {
  c: number;
  perS: number;
}

/** Terms of a product solution: coefficients multiply, decay rates add (Incropera, multidimensional effects). */
function modesOf(axes: readonly Axis[], alphaM2PerS: number, count: number): Mode[] {
  return axes.reduce<Mode[]>(
    (modes, { form, biot, lengthM }) => {
      const terms = seriesTerms(form, biot, count);
      return modes.flatMap((mode) =>
        terms.map(({ zeta, c }) => ({
          c: mode.c * c,
          perS: mode.perS + (zeta * zeta * alphaM2PerS) / lengthM ** 2,
        })),
      );
    },
    [{ c: 1, perS: 0 }],
  );
}

/**
 * One long and two equal short lags in a row that have the mean and the variance of a response: with mean M
 * and variance V, tau + 2 skin = M and tau^2 + 2 skin^2 = V.
 */
function lagsOf(modes: readonly Mode[]): { tauS: number; skinTauS: number; lagS: number } {
  const lagS = modes.reduce((sum, { c, perS }) => sum + c / perS, 0);
  const variance = 2 * modes.reduce((sum, { c, perS }) => sum + c / perS ** 2, 0) - lagS ** 2;
  const root = Math.sqrt(Math.max(0, 6 * variance - 2 * lagS ** 2));
  const skinTauS = Math.max((2 * lagS - root) / 6, lagS * 1e-6);
  return { tauS: lagS - 2 * skinTauS, skinTauS, lagS };
}

/**
 * Heat figures of a container full of moist grain or sawdust, standing free in room air: the product
 * solution (finite cylinder or brick) at its own Biot numbers. The lags of the core have the mean and the
 * variance of the whole series' answer to a step at the centre, so that slow drifts and steady self-heating
 * come out exactly. `tauS` is within 4 % of the slowest term's where one direction does not lead by far, and
 * up to 10 % longer in flat containers, whose slowest terms lie close together.
 * @throws AppError 'out-of-range' for lengths of 0.01 to 2 m, masses or moistures that cannot be.
 */
export function thermalOf(
  container: Pick<Container, 'shape' | 'massKg' | 'moisture'>,
  settings: ThermalSettings = {},
): Thermal {
  const { lengths, volumeM3, heightM } = lengthsOf(container.shape);
  for (const { lengthM } of lengths) inRange('edge or diameter', 2 * lengthM, 0.01, 2, 'm');
  const massKg = inRange('mass', container.massKg, 0.01, 100, 'kg');
  const { moisture } = container;

  const cpJPerKgK =
    settings.specificHeat === 'chen' ? specificHeatChen(moisture) : specificHeatSiebel(moisture);
  const alphaM2PerS = diffusivityM2PerS(moisture);
  const conductivityWPerMK = clamp(
    alphaM2PerS * (massKg / volumeM3) * cpJPerKgK,
    conductivityLimitsWPerMK.low,
    conductivityLimitsWPerMK.high,
  );
  const hWPerM2K = inRange(
    'film coefficient',
    settings.hWPerM2K ?? freeConvectionWPerM2K(settings.differenceK ?? 2, heightM) + radiationWPerM2K(25),
    2,
    200,
    'W/(m2 K)',
  );

  const axes = lengths.map((length) => ({
    ...length,
    biot: (hWPerM2K * length.lengthM) / conductivityWPerMK,
  }));
  const modes = modesOf(axes, alphaM2PerS, 14);
  const slowest = modes[0]!;
  const { tauS, skinTauS, lagS } = lagsOf(modes);
  const shortest = axes.reduce((least, axis) => (axis.lengthM < least.lengthM ? axis : least));
  return {
    tauS,
    skinTauS,
    lagS,
    slowestTauS: 1 / slowest.perS,
    c1: slowest.c,
    cpJPerKgK,
    alphaM2PerS,
    conductivityWPerMK,
    hWPerM2K,
    biot: shortest.biot,
    fourierPerS: alphaM2PerS / shortest.lengthM ** 2,
    massKg,
    axes,
  };
}

/** Share of the first temperature difference left in the container after a time. */
export interface Cooling {
  centre(elapsedS: number): number;
  mean(elapsedS: number): number;
  /** Middle of the nearest face: what a hand meets first. */
  surface(elapsedS: number): number;
}

/** The whole series as a product over the axes, for hot loads and other sudden steps. */
export function coolingOf({ axes, alphaM2PerS }: Pick<Thermal, 'axes' | 'alphaM2PerS'>, terms = 40): Cooling {
  const parts = axes.map(({ form, biot, lengthM }) => ({
    solution: transient(form, biot, terms),
    perS: alphaM2PerS / lengthM ** 2,
    lengthM,
  }));
  const nearest = parts.reduce((least, part) => (part.lengthM < least.lengthM ? part : least));
  const product = (elapsedS: number, share: (solution: Transient, fourier: number) => number): number =>
    parts.reduce((left, { solution, perS }) => left * share(solution, perS * elapsedS), 1);
  return {
    centre: (elapsedS) => product(elapsedS, (solution, fourier) => solution.centre(fourier)),
    mean: (elapsedS) => product(elapsedS, (solution, fourier) => solution.mean(fourier)),
    surface: (elapsedS) =>
      product(elapsedS, (solution, fourier) =>
        solution === nearest.solution ? solution.surface(fourier) : solution.centre(fourier),
      ),
  };
}
