import { clamp } from '../stats/range.ts';
import { robustSd } from '../stats/robust.ts';
import { binMs } from './history.ts';

/**
 * What a room's model leaves unexplained, bin by bin: swings of the thermostat, which are new in each bin, and
 * what lasts for hours (a door, weather, the model's own fault).
 */
export interface Noise {
  swingSdK: number;
  lastingSdK: number;
}

/** Time constant of what lasts (assumed) [bins]. */
const lastingBins = (3 * 3_600_000) / binMs;
/** What is left of it a bin later. */
export const lastingKeeps = Math.exp(-1 / lastingBins);
/** No model of two nodes is better than this, and it is worse by this part of how far the air is from its usual (assumed). */
const leastLastingK = 0.15;
const lastingShare = 0.07;
const leastSwingK = 0.05;

export const firstNoise: Noise = { swingSdK: 0.4, lastingSdK: 0.3 };

/** Sizes from errors of a fit, NaN where there are none; the lasting part is what is still there an hour later. */
export function noiseOf(errors: Float64Array): Noise {
  const known = errors.filter(Number.isFinite);
  const sdK = Math.max(leastSwingK, robustSd(known));
  const most = 3 * sdK;
  const lag = 3_600_000 / binMs;
  let sum = 0;
  let count = 0;
  for (let bin = lag; bin < errors.length; bin++) {
    const product = clamp(errors[bin]!, -most, most) * clamp(errors[bin - lag]!, -most, most);
    if (!Number.isFinite(product)) continue;
    sum += product;
    count++;
  }
  const lasting = Math.max(0, sum / Math.max(1, count)) / lastingKeeps ** lag;
  return {
    swingSdK: Math.max(leastSwingK, Math.sqrt(Math.max(0, sdK ** 2 - lasting))),
    lastingSdK: Math.max(leastLastingK, Math.sqrt(lasting)),
  };
}

/** Variance of what lasts, in each bin [K²]. `awayK` is how far the measured air is from its usual. */
export const lastingVariances = ({ lastingSdK }: Noise, awayK: Float64Array): Float64Array =>
  awayK.map((away) => lastingSdK ** 2 + (Number.isFinite(away) ? lastingShare * away : 0) ** 2);

/**
 * Errors made even and free of each other: a Kalman filter follows the lasting part, and what it did not expect
 * is given in its own standard deviations, 0 where nothing was measured. `awayK` is how far the measured air is
 * from its usual.
 */
export function whitener(noise: Noise, awayK: Float64Array): (errors: Float64Array) => Float64Array {
  const n = awayK.length;
  const lastingVar = lastingVariances(noise, awayK);
  const swingVar = noise.swingSdK ** 2;
  return (errors) => {
    const out = new Float64Array(n);
    let lasting = 0;
    let variance = lastingVar[0]!;
    for (let bin = 0; bin < n; bin++) {
      lasting *= lastingKeeps;
      variance =
        variance * lastingKeeps * lastingKeeps + lastingVar[bin]! * (1 - lastingKeeps * lastingKeeps);
      const error = errors[bin]!;
      if (!Number.isFinite(error)) continue;
      const total = variance + swingVar;
      const surprise = error - lasting;
      out[bin] = surprise / Math.sqrt(total);
      const gain = variance / total;
      lasting += gain * surprise;
      variance *= 1 - gain;
    }
    return out;
  };
}

/** How far the air lies about a prediction, and how long one such departure lasts, as one first-order process. */
export function asOne({ swingSdK, lastingSdK }: Noise): { sdK: number; lastsS: number } {
  const sdK = Math.hypot(swingSdK, lastingSdK);
  const next = (lastingSdK / sdK) ** 2 * lastingKeeps;
  return { sdK, lastsS: clamp(-binMs / 1000 / Math.log(Math.max(next, 1e-6)), 300, 86_400) };
}
