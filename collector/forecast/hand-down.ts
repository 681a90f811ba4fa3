import type { BatchState } from '../../shared/batches.ts';
import type { BatchRun } from './batch-run.ts';
import { slot } from './cohort-run.ts';
import { stepOf } from './grid.ts';
import { type Exposure, unexposed } from './lineage.ts';

/**
 * Exposure that a child takes over when it is poured: that of the bag it came from, of the worst one where the
 * bag is not known.
 * @param parent run of the parent, not past the pour
 */
export function handedDown(parent: BatchRun, child: BatchState): Exposure {
  parent.advance(stepOf(child.madeAt));
  const bag = child.parent?.bag;
  const worst: Exposure = { ...unexposed };
  for (const { cohort, state } of parent.cohorts()) {
    if (bag !== undefined && !cohort.bags.includes(bag)) continue;
    worst.doseHours = Math.max(worst.doseHours, parent.inherited.doseHours + state[slot.dose]!);
    worst.memoryHours = Math.max(worst.memoryHours, state[slot.memory]!);
  }
  return worst;
}
