import type { BatchState } from '../../shared/batches.ts';
import type { Farm } from '../../shared/farm/farm.ts';
import type { Beliefs } from '../../shared/growth/belief.ts';
import type { AirBook } from './air-book.ts';
import { type BatchRun, createBatchRun } from './batch-run.ts';
import { createBeliefBook } from './belief-book.ts';
import { stepOf } from './grid.ts';
import { handedDown } from './hand-down.ts';
import { createKinds } from './kind.ts';
import { type Exposure, farthest, unexposed } from './lineage.ts';
import { priorOf, tableMeans } from './traits.ts';

export interface RunMakerParts {
  air: AirBook;
  /** A batch by its id, standing or not, while it is known. */
  known: (id: string) => BatchState | undefined;
}

/** Makes runs of batches out of the farm file, what is believed, and the heat that they were poured with. */
export function createRunMaker({ air, known }: RunMakerParts) {
  const exposures = new Map<string, Exposure>();
  let kindOf: ReturnType<typeof createKinds> = () => 'no farm file yet';
  let beliefs = createBeliefBook({ strains: [], people: [] });

  /** Heat that a batch was poured with. */
  const inheritedBy = (batch: BatchState, depth: number): Exposure => {
    const parent = batch.parent === null ? undefined : known(batch.parent.batch);
    if (parent === undefined || depth === 0) return unexposed;
    const key = `${parent.id}|${batch.parent?.bag ?? ''}|${stepOf(batch.madeAt)}`;
    const found = exposures.get(key);
    if (found !== undefined) return found;
    const run = runOf(parent, depth - 1);
    if (typeof run === 'string') return unexposed;
    const exposure = handedDown(run, batch);
    exposures.set(key, exposure);
    return exposure;
  };

  const runOf = (batch: BatchState, depth = farthest): BatchRun | string => {
    const kind = kindOf(batch);
    if (typeof kind === 'string') return kind;
    const { species, strain, container } = kind;
    const table = tableMeans(species, strain, container, batch.inoculation);
    const prior = priorOf(table, beliefs.beliefOf(batch), beliefs.shakeChanceOf(batch));
    const inherited = inheritedBy(batch, depth);
    // Who looks later is judged by what is known then.
    const eyeOf = (who: string) => beliefs.eyeOf(who);
    return createBatchRun({ batch, kind, prior, air, eyeOf, inherited });
  };

  return {
    setFarm(farm: Farm): void {
      kindOf = createKinds(farm);
      exposures.clear();
    },
    setBeliefs(next: Beliefs): void {
      beliefs = createBeliefBook(next);
    },
    /** Text that changes when anything changes that is believed of a batch. */
    believedOf: (batch: BatchState): string => beliefs.versionFor(batch),
    /** @returns why not, in words */
    runOf: (batch: BatchState): BatchRun | string => runOf(batch),
    /** Works out anew what batches were poured with: air or records of their parents are known otherwise. */
    forgetExposures: (): void => exposures.clear(),
  };
}
