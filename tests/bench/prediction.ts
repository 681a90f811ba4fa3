import { predictionStudy, withoutEffectStudy } from '../tools/prediction-study.ts';
import type { Figure } from './figure.ts';

const seed = 20_261_125;
/** Rooms of their own for what a week of history teaches; nobody looked at them before margins and range were chosen. */
const taughtSeed = 20_261_205;
const effectSeed = 20_261_203;
const taughtDays = 7;
const failures = 50;
const weeks = 30;

const plain = { baseline: null, ratio: null };
const unmeasured = { ...plain, goal: null, holds: null };

/** How many cooler failures are foreseen in time, and how often nothing is foreseen rightly. */
export async function run(): Promise<Figure[]> {
  return [...byTrend(), ...byRooms(), ...withoutEffect()];
}

/** Rooms that taught nothing: two days of readings, and the trend. */
function byTrend(): Figure[] {
  const { counted, inTime, medianLeadMin, wrongPerWeek } = predictionStudy({ failures, weeks, seed });
  const share = inTime / counted;
  return [
    { name: 'failures that take 40 min or more', value: counted, unit: `of ${failures}`, ...unmeasured },
    {
      ...{ name: 'warned 20 min or more before the limit', value: share, unit: 'share', ...plain },
      ...{ goal: 'at least 0.9', holds: share >= 0.9 },
    },
    { name: 'median warning', value: medianLeadMin, unit: 'min', ...unmeasured },
    {
      ...{ name: `false warnings, ${weeks} ordinary weeks`, value: wrongPerWeek, unit: 'a week', ...plain },
      ...{ goal: 'at most 1', holds: wrongPerWeek <= 1 },
    },
  ];
}

const compared = (name: string, unit: string, value: number, baseline: number) => ({
  ...{ name: `taught: ${name}`, unit, value, baseline, ratio: value / baseline },
});

/** Rooms that taught what they are for a week, against the trend alone over the same readings. */
function byRooms(): Figure[] {
  const study = predictionStudy({ failures, weeks, seed: taughtSeed, taughtDays });
  const { counted, taught } = study;
  const share = taught!.inTime / counted;
  return [
    {
      name: 'taught: failures that take 40 min or more',
      value: counted,
      unit: `of ${failures}`,
      ...unmeasured,
    },
    {
      ...compared('warned 20 min or more before the limit', 'share', share, study.inTime / counted),
      ...{ goal: 'at least 0.9', holds: share >= 0.9 },
    },
    {
      ...compared('median warning', 'min', taught!.medianLeadMin, study.medianLeadMin),
      ...{ goal: null, holds: null },
    },
    {
      ...compared(
        'likely instant from the true one, median',
        'min',
        taught!.medianMissMin,
        study.medianMissMin,
      ),
      ...{ goal: 'no more than by the trend', holds: taught!.medianMissMin <= study.medianMissMin },
    },
    {
      ...compared('range that held the true instant', 'share', taught!.held, study.held),
      ...{ goal: '0.7 to 0.9', holds: taught!.held >= 0.7 && taught!.held <= 0.9 },
    },
    {
      ...compared(
        `false warnings, ${weeks} ordinary weeks`,
        'a week',
        taught!.wrongPerWeek,
        study.wrongPerWeek,
      ),
      ...{ goal: 'at most 1', holds: taught!.wrongPerWeek <= 1 },
    },
  ];
}

/** Cooling that has no effect: told by the room against what is usual in it. */
function withoutEffect(): Figure[] {
  const { usual, taught } = withoutEffectStudy({ failures, weeks, seed: effectSeed, taughtDays });
  return [
    {
      ...compared('coolers without effect told', `of ${failures}`, taught.told, usual.told),
      ...{ goal: 'no fewer than by what is usual', holds: taught.told >= usual.told },
    },
    {
      ...compared('after, median', 'min', taught.medianDelayMin, usual.medianDelayMin),
      ...{ goal: null, holds: null },
    },
    {
      ...compared(
        `told where none failed, ${weeks} weeks`,
        'a week',
        taught.wrongPerWeek,
        usual.wrongPerWeek,
      ),
      ...{ goal: 'at most 0.5', holds: taught.wrongPerWeek <= 0.5 },
    },
  ];
}
