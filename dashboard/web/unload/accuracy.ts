import type { UnloadSummary } from '../../../shared/unloads.ts';

export interface Accuracy {
  /** Ended ones whose peak was foretold and measured. */
  planned: number;
  /** Of these, how many peaks lay in the 80 % band. */
  inside: number;
  /** Mean distance of the peak from the likely one [K]. */
  offK: number;
}

/** How well peaks were foretold; null when none was. */
export function accuracyOf(past: readonly UnloadSummary[]): Accuracy | null {
  const judged = past.filter(({ stage, peakErrorK }) => stage === 'ended' && peakErrorK !== null);
  if (judged.length === 0) return null;
  return {
    planned: judged.length,
    inside: judged.filter(({ peakInBand }) => peakInBand === true).length,
    offK: judged.reduce((sum, { peakErrorK }) => sum + Math.abs(peakErrorK!), 0) / judged.length,
  };
}
