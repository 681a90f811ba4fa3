import { z } from 'zod';
import { cartFilm } from '../heat/film.ts';

const gaussian = z.strictObject({ mean: z.number(), sd: z.number().positive() });

/**
 * What is believed of loads of one kind on one site's carts: logs of the factor on the film of one container
 * standing free, and of the factor on the heat capacity that mass and moisture give. Plain data.
 */
export const loadBelief = z.strictObject({
  lnFilm: gaussian,
  lnHeat: gaussian,
  /** Unloads with readings of cores that taught it. */
  unloads: z.number().int().min(0),
});
export type LoadBelief = z.infer<typeof loadBelief>;

/**
 * Before any record: the film of a cart as assumed there, and a heat capacity known to 12 %, by which Siebel's
 * and Chen's formulas differ.
 */
export const firstLoadBelief: LoadBelief = {
  lnFilm: { mean: Math.log(cartFilm.factor), sd: cartFilm.lnSd },
  lnHeat: { mean: 0, sd: 0.12 },
  unloads: 0,
};

/** By how much one load differs from the next on the same carts [1 sd of the log]. Assumed. */
const betweenLoads = { lnFilm: 0.1, lnHeat: 0.05 } as const;

type Gaussian = z.infer<typeof gaussian>;

/** What one load told about all loads: the part of its own answer that did not come from what was believed. */
function taught(belief: Gaussian, before: Gaussian, after: Gaussian, betweenSd: number): Gaussian {
  const told = after.sd ** -2 - before.sd ** -2;
  if (!(told > 1e-9)) return belief;
  const mean = (after.mean * after.sd ** -2 - before.mean * before.sd ** -2) / told;
  const gain = belief.sd ** 2 / (belief.sd ** 2 + 1 / told + betweenSd ** 2);
  return { mean: belief.mean + gain * (mean - belief.mean), sd: belief.sd * Math.sqrt(1 - gain) };
}

/** What is believed of the next load: a load differs from the last one by some of its own. */
export const nextLoad = ({ lnFilm, lnHeat, unloads }: LoadBelief): LoadBelief => ({
  lnFilm: { mean: lnFilm.mean, sd: Math.hypot(lnFilm.sd, betweenLoads.lnFilm) },
  lnHeat: { mean: lnHeat.mean, sd: Math.hypot(lnHeat.sd, betweenLoads.lnHeat) },
  unloads,
});

/**
 * The belief after an unload whose cores were read. How film and heat go together in one load is not kept.
 * @param belief before it
 * @param after what the readings made of `nextLoad(belief)`
 */
export function learnLoad(belief: LoadBelief, after: Pick<LoadBelief, 'lnFilm' | 'lnHeat'>): LoadBelief {
  const before = nextLoad(belief);
  return {
    lnFilm: taught(belief.lnFilm, before.lnFilm, after.lnFilm, betweenLoads.lnFilm),
    lnHeat: taught(belief.lnHeat, before.lnHeat, after.lnHeat, betweenLoads.lnHeat),
    unloads: belief.unloads + 1,
  };
}
