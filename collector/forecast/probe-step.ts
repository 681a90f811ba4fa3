import type { Gaussian } from '../../shared/growth/belief.ts';
import type { Thermal } from '../../shared/heat/container.ts';
import {
  followProbe,
  newProbe,
  type ProbeState,
  probeCore,
  probeCorrection,
} from '../../shared/heat/probe.ts';
import { stepS } from './grid.ts';

/** What a probe in one of its bags teaches of a cohort's core. */
export interface ProbedCore {
  /** Temperatures of the core's three nodes first [°C], outermost first. */
  state: Float64Array;
  /** Core minus what shape and air say [K]: as believed of such batches, or as a probe in a bag tells. */
  offsetK: Gaussian;
  /** What a probe in a bag has taught; null before its first reading. */
  probe: ProbeState | null;
  /** Time constants over those computed; 1 without a probe. */
  tauFactor: number;
}

interface ProbeStep {
  airC: number;
  heatingWPerKg: number;
  /** NaN without a reading in this step. */
  probeC: number;
}

/**
 * Moves a cohort's core over a step by what a probe in one of its bags has taught of it: offset and time constant.
 * What one bag teaches holds for all bags of the cohort, which share shelf and history.
 * @returns false, with nothing moved, while no probe has spoken
 */
export function stepProbe(
  run: ProbedCore,
  thermal: Thermal,
  { airC, heatingWPerKg, probeC }: ProbeStep,
): boolean {
  const heard = !Number.isNaN(probeC);
  if (run.probe === null && !heard) return false;
  const [outerC, innerC, coreC] = run.state;
  const before = run.probe ?? newProbe({ outerC: outerC!, innerC: innerC!, coreC: coreC! }, run.offsetK);
  run.probe = followProbe(before, { airC, heatingWPerKg, dtS: stepS, thermal }, heard ? probeC : null);
  const core = probeCore(run.probe);
  run.state[0] = core.outerC;
  run.state[1] = core.innerC;
  run.state[2] = core.coreC;
  const { offsetK, offsetSdK, tauFactor } = probeCorrection(run.probe);
  run.offsetK = { mean: offsetK, sd: offsetSdK };
  run.tauFactor = tauFactor;
  return true;
}
