import type { Inoculation } from '../../shared/bags.ts';
import { createRandom, seedOf } from '../random.ts';
import type { BagTruth } from './hidden.ts';
import { inoculate, kernelsPerCm3, mostPoints } from './inoculate.ts';
import { createArrivalField, type Point } from './nearest.ts';
import { anywhere, near, type Place, type Space } from './space.ts';

/** Enough of them that a share is good to a few thousandths. */
const sampledKernels = 1_600;
/** A person sees the kernels within this distance of the film [mm]. */
const visibleMm = 7;

/** How the contents lie: made from the seed, then carried through each shake so far. */
export interface Recipe {
  seed: number;
  inoculation: Inoculation;
  /** Way of the front at each shake [mm]; the kernels it had reached are what was spread. */
  shakenAtMm: readonly number[];
}

/**
 * When the front reaches each kernel, as the way [mm] that it must have gone since the last shake; sorted, so
 * that a share is a binary search. Kernels that something else reaches first are never reached: Infinity.
 */
export interface Arrangement {
  whole: Float32Array;
  visible: Float32Array;
  /** Arrivals of what else got in, at the visible kernels, sorted. */
  visibleContaminant: Float32Array;
}

interface Layout {
  kernels: Place[];
  /** Slowness of each kernel's surroundings, around 1. */
  drag: Float32Array;
  arrivals: Float32Array;
  contaminant: Float32Array;
}

const arrivalsAt = (
  space: Space,
  kernels: readonly Place[],
  points: readonly Point[],
  drag: Float32Array,
): Float32Array => {
  const arrival = createArrivalField(space, points);
  return Float32Array.from(kernels, (kernel, i) => arrival(kernel) * drag[i]!);
};

function lay(
  space: Space,
  kernels: Place[],
  colonized: (kernel: number) => boolean,
  points: readonly Point[],
  intruders: readonly Point[],
  seed: number,
): Layout {
  const random = createRandom(seed);
  // Packing differs from kernel to kernel, and air is scarcer at the bottom.
  const drag = Float32Array.from(
    kernels,
    ({ z }) => random.logNormal(1, 0.08) * (1.08 - (0.12 * z) / space.heightMm),
  );
  const arrivals = arrivalsAt(space, kernels, points, drag);
  const contaminant = arrivalsAt(space, kernels, intruders, drag);
  arrivals.forEach((arrival, i) => {
    if (colonized(i)) arrivals[i] = 0;
    else if (contaminant[i]! < arrival) arrivals[i] = Number.POSITIVE_INFINITY;
  });
  return { kernels, drag, arrivals, contaminant };
}

function asMade(space: Space, { seed, inoculation }: Recipe, truth: BagTruth): Layout {
  const random = createRandom(seedOf(seed, 'made'));
  const kernels = Array.from({ length: sampledKernels }, () => anywhere(space, random));
  const { points, colonized } = inoculate(inoculation, space, truth, random);
  const { contaminant } = truth;
  const intruders =
    contaminant === null
      ? []
      : [{ ...anywhere(space, random), delayMm: contaminant.delayMm, drag: 1 / contaminant.pace }];
  const spawn = Uint8Array.from(kernels, () => (random.chance(colonized) ? 1 : 0));
  return lay(space, kernels, (i) => spawn[i] === 1, points, intruders, seedOf(seed, 'packing'));
}

/** Every kernel moves; the colonized ones stay so, and part of them become points for the rest. */
function shaken(space: Space, before: Layout, grownMm: number, truth: BagTruth, seed: number): Layout {
  const random = createRandom(seed);
  const kernels = before.kernels.map((kernel) => near(space, kernel, truth.shakeReachMm, random));
  const reached: number[] = [];
  before.arrivals.forEach((arrival, i) => {
    if (arrival <= grownMm) reached.push(i);
  });
  const perSample = (kernelsPerCm3 * space.volumeCm3) / sampledKernels;
  const count = Math.min(
    mostPoints,
    Math.round(reached.length * perSample * Math.min(0.7, 2 * truth.pointShare)),
  );
  const points = Array.from({ length: reached.length === 0 ? 0 : Math.max(1, count) }, () => ({
    ...near(space, kernels[random.pick(reached)]!, 6, random),
    delayMm: random.exponential(1),
    drag: random.between(0.88, 1.14),
  }));
  const spoilt: number[] = [];
  before.contaminant.forEach((arrival, i) => {
    if (arrival <= grownMm) spoilt.push(i);
  });
  const pace = truth.contaminant?.pace ?? 1;
  const intruders = spoilt.map((i) => ({ ...kernels[i]!, delayMm: 0, drag: 1 / pace }));
  const colonized = Uint8Array.from(before.arrivals, (arrival) => (arrival <= grownMm ? 1 : 0));
  return lay(space, kernels, (i) => colonized[i] === 1, points, intruders, seedOf(seed, 'packing'));
}

/** Works a recipe out; the same recipe always gives the same arrangement. */
export function arrange(space: Space, recipe: Recipe, truth: BagTruth): Arrangement {
  let layout = asMade(space, recipe, truth);
  recipe.shakenAtMm.forEach((grownMm, turn) => {
    layout = shaken(space, layout, grownMm, truth, seedOf(recipe.seed, 'shake', turn));
  });
  const seen = layout.kernels.map((kernel) => space.wallMm(kernel) <= visibleMm);
  return {
    whole: layout.arrivals.slice().sort(),
    visible: layout.arrivals.filter((_, i) => seen[i]).sort(),
    visibleContaminant: layout.contaminant.filter((_, i) => seen[i]).sort(),
  };
}

/** Share of sorted arrivals that a front which has gone `grownMm` has reached; in [0, 1]. */
export function shareReached(arrivals: Float32Array, grownMm: number): number {
  let low = 0;
  let high = arrivals.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (arrivals[middle]! <= grownMm) low = middle + 1;
    else high = middle;
  }
  return arrivals.length === 0 ? 0 : low / arrivals.length;
}
