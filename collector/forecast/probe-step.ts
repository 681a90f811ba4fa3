import type { Thermal } from '../../shared/heat/container.ts';
import { followProbe, newProbe, probeCore, probeCorrection } from '../../shared/heat/probe.ts';
import type { CohortRun } from './cohort-run.ts';
import { stepS } from './grid.ts';

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
  run: CohortRun,
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
