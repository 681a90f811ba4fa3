import type { Inoculation } from '../../shared/bags.ts';
import { createRandom, seedOf } from '../random.ts';
import { firstArrivals, type Points, pointFields } from './arrivals.ts';
import type { BagTruth } from './hidden.ts';
import { drawVigour, inoculate, kernelsPerCm3, mostPoints } from './inoculate.ts';
import { drawAnywhere, drawNear, type Places, type Space } from './space.ts';

/** Enough of them that a share is good to half a hundredth. */
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
 * When the front reaches each sampled kernel, as the way [mm] that it must have gone since the last
 * shake. Kernels that something else reaches first are never reached: Infinity.
 */
export interface Layout {
  kernels: Places;
  arrivals: Float32Array;
  contaminant: Float32Array;
}

/** Arrivals sorted, so that a share is a search. */
export interface Arrangement {
  layout: Layout;
  whole: Float32Array;
  visible: Float32Array;
  /** Arrivals of what else got in, at the visible kernels. */
  visibleContaminant: Float32Array;
}

const noPoints: Points = new Float64Array(0);

function lay(
  space: Space,
  kernels: Places,
  colonized: Uint8Array,
  points: Points,
  intruders: Points,
  seed: number,
): Layout {
  const random = createRandom(seed);
  const arrivals = firstArrivals(space, kernels, points);
  const contaminant = firstArrivals(space, kernels, intruders);
  for (let i = 0; i < arrivals.length; i += 1) {
    // Packing differs from kernel to kernel, and air is scarcer at the bottom.
    const depth = 1.08 - (0.12 * kernels[3 * i + 2]!) / space.heightMm;
    const drag = depth * random.between(0.86, 1.14);
    arrivals[i]! *= drag;
    contaminant[i]! *= drag;
    if (colonized[i] === 1) arrivals[i] = 0;
    else if (contaminant[i]! < arrivals[i]!) arrivals[i] = Number.POSITIVE_INFINITY;
  }
  return { kernels, arrivals, contaminant };
}

function asMade(space: Space, { seed, inoculation }: Recipe, truth: BagTruth): Layout {
  const random = createRandom(seedOf(seed, 'made'));
  const kernels = new Float64Array(3 * sampledKernels);
  for (let i = 0; i < sampledKernels; i += 1) drawAnywhere(space, random, kernels, 3 * i);
  const { points, colonized } = inoculate(inoculation, space, truth, random);
  const { contaminant } = truth;
  let intruders = noPoints;
  if (contaminant !== null) {
    intruders = new Float64Array(pointFields);
    drawAnywhere(space, random, intruders, 0);
    intruders[3] = contaminant.delayMm;
    intruders[4] = 1 / contaminant.pace;
  }
  const spawn = new Uint8Array(sampledKernels);
  for (let i = 0; i < sampledKernels; i += 1) spawn[i] = random.chance(colonized) ? 1 : 0;
  return lay(space, kernels, spawn, points, intruders, seedOf(seed, 'packing'));
}

const reachedBy = (arrivals: Float32Array, grownMm: number): number[] => {
  const reached: number[] = [];
  for (let i = 0; i < arrivals.length; i += 1) if (arrivals[i]! <= grownMm) reached.push(i);
  return reached;
};

/** Every kernel moves; the colonized ones stay so, and part of them become points for the rest. */
function shaken(space: Space, before: Layout, grownMm: number, truth: BagTruth, seed: number): Layout {
  const random = createRandom(seed);
  const kernels = new Float64Array(before.kernels.length);
  for (let at = 0; at < kernels.length; at += 3)
    drawNear(space, before.kernels, at, truth.shakeReachMm, random, kernels, at);

  const reached = reachedBy(before.arrivals, grownMm);
  const colonized = new Uint8Array(sampledKernels);
  for (const i of reached) colonized[i] = 1;
  const perSample = (kernelsPerCm3 * space.volumeCm3) / sampledKernels;
  const alive = Math.min(0.7, 2 * truth.pointShare);
  const wanted = Math.max(1, Math.round(reached.length * perSample * alive));
  const points = new Float64Array(reached.length === 0 ? 0 : pointFields * Math.min(mostPoints, wanted));
  for (let at = 0; at < points.length; at += pointFields) {
    drawNear(space, kernels, 3 * random.pick(reached), 10, random, points, at);
    drawVigour(random, points, at);
  }

  const spoilt = reachedBy(before.contaminant, grownMm);
  const intruders = new Float64Array(pointFields * spoilt.length);
  spoilt.forEach((kernel, i) => {
    intruders.set(kernels.subarray(3 * kernel, 3 * kernel + 3), pointFields * i);
    intruders[pointFields * i + 4] = 1 / (truth.contaminant?.pace ?? 1);
  });
  return lay(space, kernels, colonized, points, intruders, seedOf(seed, 'packing'));
}

function sortOut(space: Space, layout: Layout): Arrangement {
  const { kernels, arrivals, contaminant } = layout;
  const seen = Array.from(arrivals, (_, i) => i).filter(
    (i) => space.wallMm(kernels[3 * i]!, kernels[3 * i + 1]!, kernels[3 * i + 2]!) <= visibleMm,
  );
  return {
    layout,
    whole: arrivals.slice().sort(),
    visible: Float32Array.from(seen, (i) => arrivals[i]!).sort(),
    visibleContaminant: Float32Array.from(seen, (i) => contaminant[i]!).sort(),
  };
}

/** Works a recipe out; the same recipe always gives the same arrangement. */
export function arrange(space: Space, recipe: Recipe, truth: BagTruth): Arrangement {
  let layout = asMade(space, recipe, truth);
  recipe.shakenAtMm.forEach((grownMm, turn) => {
    layout = shaken(space, layout, grownMm, truth, seedOf(recipe.seed, 'shake', turn));
  });
  return sortOut(space, layout);
}

/** The same as `arrange(recipe)`, for a recipe that adds one shake to the one that gave `before`. */
export function arrangeShaken(
  space: Space,
  before: Arrangement,
  recipe: Recipe,
  truth: BagTruth,
): Arrangement {
  const turn = recipe.shakenAtMm.length - 1;
  const seed = seedOf(recipe.seed, 'shake', turn);
  return sortOut(space, shaken(space, before.layout, recipe.shakenAtMm[turn]!, truth, seed));
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
