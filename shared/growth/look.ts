import { normalCdf, normalQuantile } from '../stats/normal.ts';
import { firstHabit, type LookHabit } from './belief.ts';

/** Below this a person says 'nothing yet', from `saysFullAt` on 'full', unless learned otherwise. Assumed. */
export const saysNothingBelow = 0.03;
export const saysFullAt = 0.98;
/** Share of looks that are about something else: wrong bag, wrong row, a slip of the finger. Assumed. */
const slipShare = 0.08;

/**
 * Error of a judged share (1 sd): a percent near empty, nine at half, two near full. Assumed. From which share on a
 * bag is called full is a matter of its own: see the trait `leftBare`.
 */
export const lookError = (share: number): number => 0.012 + 0.3 * share * (1 - share) + 0.01 * share * share;

/**
 * Part of that error which all looks at one batch have in common, as its standard deviation: the same film, the
 * same inside that does not show, mostly the same people. Ten looks are not ten times as sure as one. Assumed.
 */
export const batchLeanSd = 0.5;

/** How one person's looks err: `bias` in units of `lookError`, `noise` as a factor on it. */
export interface Eye {
  bias: number;
  noise: number;
}

/**
 * The eye of a person whose habit is known so well. `lookError` is that of someone unknown, with the habit and the
 * batch's lean in it.
 */
export const eyeOf = ({ mean, sd }: LookHabit): Eye => ({
  bias: mean,
  noise: Math.sqrt(1 - batchLeanSd ** 2 - firstHabit.sd ** 2 + sd ** 2),
});
export const unknownEye: Eye = eyeOf(firstHabit);

const rootTwoPi = Math.sqrt(2 * Math.PI);

/** Further from the edge than this many errors, an error never carries a look over it. */
const farErrors = 6;

/**
 * Likelihood of a judged share given the true one. Whoever looks first decides whether the bag is full, which is
 * called so from `fullAt` on; of one that is not they say how much is grown through, with a normal error of its own,
 * or 'nothing yet' (0). Mixed with an even slip, so that one wild look moves little. For 'full' and 'nothing yet'
 * it is a probability, in between a density.
 * @param judged as recorded, 0-1
 * @param share true share by the model, 0-1
 * @param lean how far looks at this batch err together, in standard deviations
 * @param fullAt share from which people call this batch full
 */
export function lookLikelihood(
  judged: number,
  share: number,
  eye = unknownEye,
  lean = 0,
  fullAt = saysFullAt,
): number {
  const unit = lookError(share);
  const seemsLike = share + (eye.bias + batchLeanSd * lean) * unit;
  const error = eye.noise * unit;
  const far = farErrors * error;
  const full = seemsLike < fullAt - far ? 0 : normalCdf((seemsLike - fullAt) / error);
  if (judged >= fullFrom) return (1 - slipShare) * full + slipLikelihood(judged);
  const below = seemsLike < saysFullAt - far ? 1 : normalCdf((saysFullAt - seemsLike) / error);
  const notFull = ((1 - slipShare) * (1 - full)) / Math.max(below, 1e-9);
  if (judged <= nothingTo)
    return notFull * normalCdf((saysNothingBelow - seemsLike) / error) + slipLikelihood(judged);
  const off = (judged - seemsLike) / error;
  return (notFull * Math.exp((-off * off) / 2)) / (error * rootTwoPi) + slipLikelihood(judged);
}

/** Recorded shares from which a look counts as 'full', and up to which as 'nothing yet'. */
export const fullFrom = 0.98;
export const nothingTo = 0.01;

/** Part of a look's likelihood that rests on it having been a slip. */
export const slipLikelihood = (judged: number): number =>
  slipShare * (judged >= fullFrom ? 1 - saysFullAt : judged <= nothingTo ? saysNothingBelow : 1);

/** Bags are used when nearly full, or for some other reason. Assumed. */
const usedFrom = 0.9;
const usedErrorSd = 0.05;
const usedForOtherShare = 0.15;

/** Probability that bags would be used at a share: evidence, weaker than a look, that they had filled. */
export const usedLikelihood = (share: number): number =>
  usedForOtherShare + (1 - usedForOtherShare) * normalCdf((share - usedFrom) / usedErrorSd);

/** Random numbers that a look takes, even over (0, 1): whether it is a slip, whether full, and what is said. */
export interface LookDraws {
  slip: number;
  full: number;
  said: number;
}

/** What a person would record: the law that `lookLikelihood` is the likelihood of. */
export function judge(
  share: number,
  { slip, full, said }: LookDraws,
  eye = unknownEye,
  lean = 0,
  fullAt = saysFullAt,
): number {
  const unit = lookError(share);
  const seemsLike = share + (eye.bias + batchLeanSd * lean) * unit;
  const error = eye.noise * unit;
  if (slip < slipShare) return recorded(said);
  if (full < normalCdf((seemsLike - fullAt) / error)) return 1;
  const below = normalCdf((saysFullAt - seemsLike) / error);
  const seen = seemsLike + error * normalQuantile(Math.max(said * below, Number.MIN_VALUE));
  return recorded(Math.min(seen, saysFullAt - 1e-9));
}

const recorded = (seen: number): number => {
  if (seen >= saysFullAt) return 1;
  return seen <= saysNothingBelow ? 0 : seen;
};
