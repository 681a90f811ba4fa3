import { largestCount } from '../heat/load.ts';
import type { EpochMs } from '../time.ts';
import type { UnloadPlan } from '../unloads.ts';
import { createJury, type Jury, mayFail } from './jury.ts';
import { comingHours, type Outlook, type Part, stepS } from './outlook.ts';
import type { PlanInput } from './plan-input.ts';
import type { Standing } from './standing.ts';
import type { Verdict } from './verdict.ts';

type Advice = UnloadPlan['advice'];

/** A split has at most so many parts, this far apart [h]. */
const mostParts = 6;
const gapsH = [1, 1.5, 2, 3, 4, 6, 8, 12] as const;
const stepsPerHour = 3600 / stepS;
/** More is refused at the door. */
const mostAtOnce = largestCount - 1;
/** Loads that differ by less than this factor have the same cases as their worst. */
const sameOrder = 1.35;
/** The largest load is found to this part. */
const exactTo = 0.01;

interface Question {
  input: PlanInput;
  outlook: Outlook;
  standing: Standing;
  /** What each case makes of the load as asked for. */
  verdicts: readonly Verdict[];
}

const failing = (verdicts: readonly Verdict[], fails: (verdict: Verdict) => boolean): number =>
  verdicts.filter(fails).length / verdicts.length;

/** Racks without whose cohorts the load fits; the most exposed go first. Null where the room itself is passed. */
function racksToMove({ input, verdicts }: Question): string[] | null {
  if (failing(verdicts, ({ passed }) => passed.length > 0) > mayFail) return null;
  const out = new Set<string>();
  const isOver = (verdict: Verdict, index: number): boolean =>
    verdict.cohorts[index]!.over && !out.has(input.cohorts[index]!.rack);
  for (;;) {
    const anyOver = failing(verdicts, (verdict) =>
      verdict.cohorts.some((_, index) => isOver(verdict, index)),
    );
    if (anyOver <= mayFail) return [...out].sort();
    const times = input.cohorts.map((_, index) => failing(verdicts, (verdict) => isOver(verdict, index)));
    out.add(input.cohorts[times.indexOf(Math.max(...times))]!.rack);
  }
}

/** Loads that much larger than the largest show what it comes up against. */
const beyond = [1.1, 1.5, 2.5] as const;

/** What more than the largest load comes up against, in words. */
function limitedBy(jury: Jury, { input, outlook }: Question, largest: number): string {
  if (largest >= mostAtOnce) return `nothing up to ${mostAtOnce} containers`;
  for (const factor of beyond) {
    const count = Math.min(mostAtOnce, Math.ceil(factor * largest) + 1);
    const { passed, cohorts } = jury.ninth([{ count, atStep: outlook.atStep }]);
    const [limit] = passed;
    if (limit !== undefined) return `the room's ${limit.name} of ${limit.limitC.toFixed(1)} °C`;
    const shares = cohorts.map(({ share, over }) => (over ? share : 0));
    const most = Math.max(0, ...shares);
    const { batch, shelf } = input.cohorts[shares.indexOf(most)] ?? {};
    if (most > 0) return `${batch} on ${shelf}, which would get ${most.toFixed(1)} times what it stands`;
  }
  return 'what is not known of the room';
}

/** Largest count in [low, high) that seems to be borne, given that `low` is and `high` is not. */
function search(low: number, high: number, seems: (count: number) => boolean): number {
  let [borne, not] = [low, high];
  while (not - borne > Math.max(1, Math.floor(exactTo * borne))) {
    const middle = Math.floor(borne === 0 ? not / 3 : Math.sqrt(borne * not));
    const tried = Math.min(not - 1, Math.max(borne + 1, middle));
    if (seems(tried)) borne = tried;
    else not = tried;
  }
  return borne;
}

/** The most containers that may come in at once, 0 to `mostAtOnce`; no less than what fits already. */
function largestOf(jury: Jury, { input, outlook }: Question, fits: boolean): number {
  const { count } = input.load;
  const parts = (many: number): Part[] => [{ count: many, atStep: outlook.atStep }];
  const seems = (many: number): boolean => jury.seems(parts(many));
  const bounds: [number, number] = fits ? [count, mostAtOnce + 1] : [0, count];
  let found = fits && seems(mostAtOnce) ? mostAtOnce : search(...bounds, seems);
  if (found < count / sameOrder || found > count * sameOrder)
    // Which cases are the worst depends on the load: ask again with those that are so there.
    jury.rankAt(parts(Math.max(1, found)));
  const low = Math.max(1, bounds[0], Math.floor(0.7 * found));
  const high = Math.min(bounds[1], Math.ceil(1.4 * found) + 1);
  if (found < mostAtOnce || !seems(found))
    found = seems(low) ? search(low, Math.max(low + 1, high), seems) : search(bounds[0], low, seems);
  while (found > bounds[0] && !jury.holds(parts(found)))
    found = Math.max(bounds[0], Math.floor(0.95 * found));
  return found;
}

/** Even parts as few and as close together as are borne. */
function splitOf(jury: Jury, { input, outlook }: Question, largest: number): Advice['split'] {
  const { count } = input.load;
  if (largest === 0) return null;
  for (let many = Math.max(2, Math.ceil(count / largest)); many <= mostParts; many++) {
    const made = (gapH: number): Part[] =>
      Array.from({ length: many }, (_, part) => ({
        count: Math.floor(count / many) + (part < count % many ? 1 : 0),
        atStep: outlook.atStep + Math.round(part * gapH * stepsPerHour),
      }));
    const within = gapsH.filter((gapH) => gapH * (many - 1) <= comingHours);
    let [tooClose, enough] = [-1, within.length];
    while (enough - tooClose > 1) {
      const middle = (tooClose + enough) >> 1;
      if (jury.seems(made(within[middle]!))) enough = middle;
      else tooClose = middle;
    }
    for (const gapH of within.slice(enough, enough + 2))
      if (jury.holds(made(gapH)))
        return made(gapH).map((part) => ({ count: part.count, at: timeOf(input, part.atStep) }));
  }
  return null;
}

const timeOf = ({ now }: PlanInput, step: number): EpochMs => now + step * stepS * 1000;

/** The first full hour within a day at which all of it is borne at once. */
function betterHour(jury: Jury, { input, outlook }: Question): EpochMs | null {
  let tried = 0;
  for (const step of outlook.hourSteps) {
    const parts = [{ count: input.load.count, atStep: step }];
    if (step === outlook.atStep || !jury.seems(parts)) continue;
    if (jury.holds(parts)) return timeOf(input, step);
    tried++;
    if (tried === 3) return null;
  }
  return null;
}

/** What to do where all at once is too much. Each answer holds in nine of ten cases. */
export function adviceOf(question: Question): Advice {
  const { input, outlook, standing, verdicts } = question;
  const jury = createJury({ outlook, standing, verdicts, limits: input.limits });
  const fits = failing(verdicts, (verdict) => verdict.fails) <= mayFail;
  const largest = largestOf(jury, question, fits);
  return {
    fits,
    largest: {
      count: largest,
      limitedBy: limitedBy(jury, question, largest),
    },
    split: fits ? null : splitOf(jury, question, largest),
    betterAt: fits ? null : betterHour(jury, question),
    moveOut: racksToMove(question),
  };
}
