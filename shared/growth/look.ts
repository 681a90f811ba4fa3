import { normalCdf } from '../stats/normal.ts';
import { firstHabit, type LookHabit } from './belief.ts';

/** Below this a person says 'nothing yet', from `saysFullAt` on 'full'. Assumed. */
export const saysNothingBelow = 0.03;
export const saysFullAt = 0.975;
/** Share of looks that are about something else: wrong bag, wrong row, a slip of the finger. Assumed. */
const slipShare = 0.08;

/**
 * Error of a judged share (1 sd): a percent near empty, nine at half, three near full, where only what shows
 * through the film is seen of the last corners. Assumed.
 */
export const lookError = (share: number): number => 0.012 + 0.3 * share * (1 - share) + 0.02 * share * share;

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

/**
 * Likelihood of a judged share given the true one: a normal error, cut off where the person says 'nothing
 * yet' (0) or 'full' (from 0.98), mixed with an even slip, so that one wild look moves little.
 * For 'full' and 'nothing yet' it is a probability, in between a density.
 * @param judged as recorded, 0-1
 * @param share true share by the model, 0-1
 * @param lean how far looks at this batch err together, in standard deviations
 */
export function lookLikelihood(judged: number, share: number, eye = unknownEye, lean = 0): number {
  const unit = lookError(share);
  const seemsLike = share + (eye.bias + batchLeanSd * lean) * unit;
  const error = eye.noise * unit;
  if (judged >= fullFrom) {
    const seen = 1 - normalCdf((saysFullAt - seemsLike) / error);
    return (1 - slipShare) * seen + slipShare * (1 - saysFullAt);
  }
  if (judged <= nothingTo) {
    const seen = normalCdf((saysNothingBelow - seemsLike) / error);
    return (1 - slipShare) * seen + slipShare * saysNothingBelow;
  }
  const off = (judged - seemsLike) / error;
  return ((1 - slipShare) * Math.exp((-off * off) / 2)) / (error * rootTwoPi) + slipShare;
}

/** Recorded shares from which a look counts as 'full', and up to which as 'nothing yet'. */
export const fullFrom = 0.98;
export const nothingTo = 0.01;

/** Probability that a look was a slip, given the true share. */
export function slipProbability(judged: number, share: number, eye = unknownEye, lean = 0): number {
  const slip = slipShare * (judged >= fullFrom ? 1 - saysFullAt : judged <= nothingTo ? saysNothingBelow : 1);
  return slip / lookLikelihood(judged, share, eye, lean);
}

/** Bags are used when nearly full, or for some other reason. Assumed. */
const usedFrom = 0.9;
const usedErrorSd = 0.05;
const usedForOtherShare = 0.15;

/** Probability that bags would be used at a share: evidence, weaker than a look, that they had filled. */
export const usedLikelihood = (share: number): number =>
  usedForOtherShare + (1 - usedForOtherShare) * normalCdf((share - usedFrom) / usedErrorSd);

/**
 * What a person would record, from two even random numbers in (0, 1) and a normal one: the law that
 * `lookLikelihood` is the likelihood of.
 */
export function judge(
  share: number,
  slipDraw: number,
  evenDraw: number,
  normalDraw: number,
  eye = unknownEye,
  lean = 0,
): number {
  const error = lookError(share);
  const off = eye.bias + batchLeanSd * lean + eye.noise * normalDraw;
  const seen = slipDraw < slipShare ? evenDraw : share + error * off;
  if (seen >= saysFullAt) return 1;
  return seen <= saysNothingBelow ? 0 : seen;
}
