import { type Outlook, type Part, searchedHours, stepS } from './outlook.ts';
import type { RoomLimit } from './plan-input.ts';
import type { Standing } from './standing.ts';
import { failsIn, type Verdict, verdictOf } from './verdict.ts';

/** Advice holds in nine of ten cases. */
export const mayFail = 0.1;
/** Having passed in so many of the worst cases in a row, it passes in the rest. */
const passesInRow = 6;

interface Court {
  outlook: Outlook;
  standing: Standing;
  limits: readonly RoomLimit[];
  /** What each case makes of the load as asked for. */
  verdicts: readonly Verdict[];
}

/** Says whether loads are borne in nine of ten cases, without running all of them each time. */
export function createJury({ outlook, standing, limits, verdicts }: Court) {
  const allowed = Math.floor(mayFail * verdicts.length);
  let order: number[] = [];
  /** Cohorts, the most exposed first: they are the ones that fail. */
  let exposedFirst: number[] = [];

  const rankBy = (all: readonly Verdict[]): void => {
    order = all.map((_, index) => index).sort((a, b) => all[b]!.score - all[a]!.score);
    const { cohorts } = all[order[allowed]!]!;
    exposedFirst = cohorts.map((_, index) => index).sort((a, b) => cohorts[b]!.share - cohorts[a]!.share);
  };
  rankBy(verdicts);

  const courseIn = (index: number, parts: readonly Part[]) => {
    const spreadS = (parts[parts.length - 1]!.atStep - parts[0]!.atStep) * stepS;
    return outlook.run(index, parts, searchedHours + spreadS / 3600);
  };
  /** A search comes back to what it has asked before. */
  const known = new Map<string, boolean>();
  const fails = (index: number, parts: readonly Part[]): boolean => {
    const key = [index, ...parts.map(({ count, atStep }) => `${count}@${atStep}`)].join(' ');
    const asked = known.get(key) ?? failsIn(standing, limits, courseIn(index, parts), exposedFirst);
    known.set(key, asked);
    return asked;
  };

  return {
    /** Puts the cases in order of what they make of this load. */
    rankAt(parts: readonly Part[]): void {
      rankBy(verdicts.map((_, index) => verdictOf(standing, limits, courseIn(index, parts))));
    },
    /** Most of three cases about the ninth of ten bear it: a quick answer while one searches. */
    seems(parts: readonly Part[]): boolean {
      const [low, middle, high] = [allowed - 2, allowed, allowed + 2].map(
        (rank) => order[Math.max(0, rank)]!,
      );
      const one = fails(middle!, parts);
      if (fails(one ? high! : low!, parts) === one) return !one;
      return !fails(one ? low! : high!, parts);
    },
    /** Nine of ten cases bear it; the worst are asked first. */
    holds(parts: readonly Part[]): boolean {
      let failed = 0;
      let inRow = 0;
      for (const index of order) {
        const failsHere = fails(index, parts);
        failed += failsHere ? 1 : 0;
        inRow = failsHere ? 0 : inRow + 1;
        if (failed > allowed) return false;
        if (inRow >= passesInRow) return true;
      }
      return true;
    },
    /** What the ninth worst of ten cases makes of it. */
    ninth: (parts: readonly Part[]): Verdict => verdictOf(standing, limits, courseIn(order[allowed]!, parts)),
  };
}
export type Jury = ReturnType<typeof createJury>;
