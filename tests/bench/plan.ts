import { planUnload } from '../../shared/unload/plan.ts';
import type { PlanInput } from '../../shared/unload/plan-input.ts';
import { cohortsOf, otherLoads, planQuestion } from '../tools/plan-question.ts';
import type { Figure } from './figure.ts';

const rounds = 60;
const goalMs = 300;

/** Questions of all sizes about a room with 200 cohorts, most of them too much, so that all advice is sought. */
function questions(others: Partial<PlanInput>): PlanInput[] {
  const cohorts = cohortsOf(200);
  return [40, 160, 280, 400, 700].flatMap((count) =>
    [false, true].map((fan) =>
      planQuestion({ count, cohorts, options: { fan, extraCoolingW: 0 }, ...others }),
    ),
  );
}

function measure(what: string, others: Partial<PlanInput>): Figure[] {
  const asked = questions(others);
  const tookMs: number[] = [];
  let advised = 0;
  for (const question of asked) planUnload(question);
  for (let round = 0; round < rounds; round++) {
    const begun = performance.now();
    const { advice } = planUnload(asked[round % asked.length]!);
    tookMs.push(performance.now() - begun);
    if (!advice.fits) advised++;
  }
  tookMs.sort((a, b) => a - b);
  const at = (share: number): number => tookMs[Math.ceil(share * rounds) - 1]!;
  const plain = { unit: 'ms', baseline: null, ratio: null };
  return [
    { name: `${what}, p50`, value: at(0.5), ...plain, goal: null, holds: null },
    {
      name: `${what}, p95`,
      value: at(0.95),
      ...plain,
      goal: `at most ${goalMs}`,
      holds: at(0.95) <= goalMs,
    },
    {
      ...{ name: 'of them with split and hour sought', value: advised, unit: `of ${rounds}` },
      ...{ baseline: null, ratio: null, goal: null, holds: null },
    },
  ];
}

/** How long a question to the planner takes, with split, better hour and racks to move out. */
export async function run(): Promise<Figure[]> {
  return [
    ...measure('question with 200 cohorts', {}),
    ...measure('the same with one load standing there and two scheduled', otherLoads),
  ];
}
