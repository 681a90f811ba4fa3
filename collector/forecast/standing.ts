import type { BatchState } from '../../shared/batches.ts';
import type { BatchRun } from './batch-run.ts';
import { type Turn, turnOf } from './turn.ts';

/** A batch of which some bags stand, and how far it was worked out. */
export interface Standing {
  batch: BatchState;
  turn: Turn;
  /** What it rests on of what is believed; see `BeliefBook.versionFor`. */
  believed: string;
  run: BatchRun | undefined;
  /** Forecasts given out are of the present state. */
  told: boolean;
  /** By cohort, what moved its forecast, and up to which step that was looked into. */
  moved: Map<string, { at: number; words: string | undefined }>;
}

export const stands = ({ endedAt, cohorts }: BatchState): boolean =>
  endedAt === null && cohorts.some(({ left }) => left === undefined);

/** @param run of the same batch, to go on from */
export const standingOf = (
  batch: BatchState,
  believed: string,
  run: BatchRun | undefined = undefined,
): Standing => ({ batch, turn: turnOf(batch), believed, run, told: false, moved: new Map() });

/** Has it worked out again from its making. */
export function workAgain(one: Standing): void {
  one.run = undefined;
  one.told = false;
  one.moved = new Map();
}
