import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { learnPast } from '../../collector/learning/learn-past.ts';
import { type Saying, sayingsOf, scoresOf } from '../../collector/learning/score.ts';
import { baseOf } from '../../collector/learning/strain-page.ts';
import { occasions } from '../../shared/learning.ts';
import { demoFarm, demoNow } from '../tools/demo-farms.ts';
import type { Figure } from './figure.ts';

/** The demo's own farm. Priors were chosen on it and on those of seeds 101-103, 201-206 and 301-306. */
const demoSeed = 7;
/** Farms of its kind that nobody looked at before the priors stood: they alone tell how honest forecasts are. */
const untouched = [401, 402, 403, 404, 405, 406];
const asked = process.env.SHELFWARDEN_BENCH_SEEDS;
const seeds = asked === undefined ? [demoSeed, ...untouched] : asked.split(',').map(Number);

/** How well ready dates were forecast on farms of simulated bags, beside both rules. Not a speed. */
export async function run(): Promise<Figure[]> {
  // A folder given is kept, so that the same farms can be scored again.
  const kept = process.env.SHELFWARDEN_BENCH_FARMS;
  const folder = kept ?? mkdtempSync(join(tmpdir(), 'shelfwarden-scores-'));
  const figures: Figure[] = [];
  const all: Saying[] = [];
  try {
    for (const seed of seeds) {
      const { farm, database } = await demoFarm(seed, join(folder, `farm-${seed}`));
      const { fresh } = learnPast({ database, farm, finished: [], now: demoNow });
      database.close();
      const sayings = sayingsOf(fresh, baseOf(farm));
      if (asked !== undefined || seed !== demoSeed) all.push(...sayings);
      figures.push(...figuresOf(`farm ${seed}`, sayings));
    }
  } finally {
    if (kept === undefined) rmSync(folder, { recursive: true });
  }
  const which = asked === undefined ? `${untouched.length} untouched farms` : `${seeds.length} farms`;
  return [...figures, ...figuresOf(which, all)];
}

function figuresOf(which: string, sayings: readonly Saying[]): Figure[] {
  const scores = scoresOf(sayings);
  return occasions.flatMap((occasion): Figure[] => {
    const by = (contestant: string) =>
      scores.find((one) => one.occasion === occasion && one.contestant === contestant);
    const own = by('forecast');
    if (own === undefined) return [];
    const best = Math.min(by('fixed-days')!.crpsDays, by('degree-days')!.crpsDays);
    const { share, band, holds } = own.coverage;
    return [
      {
        name: `${which}, ${occasion}, ${own.count} batches: CRPS beside the better rule (bias ${own.biasDays.toFixed(2)} d)`,
        value: own.crpsDays,
        unit: 'd',
        baseline: best,
        ratio: own.crpsDays / best,
        goal: 'ratio <= 1',
        holds: own.crpsDays <= best,
      },
      {
        name: `${which}, ${occasion}: share that lay in the 80 % interval`,
        value: share,
        unit: '',
        baseline: null,
        ratio: null,
        goal: `${band.low.toFixed(2)} to ${band.high.toFixed(2)}`,
        holds,
      },
    ];
  });
}
