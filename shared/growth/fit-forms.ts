import { briereOptimumC } from './response.ts';
import type { Cutoff, ResponseForm, ResponseSpec } from './response-spec.ts';

/**
 * How one form is fitted. The search runs over free numbers, any of which gives a valid response, so no
 * constraint can be broken on the way: differences that must be positive are searched as logarithms.
 */
export interface FitForm {
  /** Names of the natural parameters, in the order of `natural`. */
  names: readonly string[];
  natural(free: readonly number[]): number[];
  spec(natural: readonly number[]): ResponseSpec;
  optimumC(natural: readonly number[]): number;
  /** Starting points for the search, in free numbers, from the span of growth and its best temperature. */
  starts(table: { lowC: number; highC: number; bestC: number }): number[][];
}

const log = Math.log;
const exp = Math.exp;
/** Every combination of one member from each list. */
const combine = (...lists: number[][]): number[][] =>
  lists.reduce<number[][]>((rows, list) => rows.flatMap((row) => list.map((item) => [...row, item])), [[]]);

const around = (middleC: number): number[] => [-4, -2, 0, 2, 4].map((away) => middleC + away);

/** Optimum, fall to the maximum, and by how much the rise from the minimum is longer than the fall. */
const cardinal: FitForm = {
  names: ['tMinC', 'tOptC', 'tMaxC'],
  natural: ([opt, fall, more]) => [opt! - exp(fall!) - exp(more!), opt!, opt! + exp(fall!)],
  spec: ([tMinC, tOptC, tMaxC]) => ({ form: 'cardinal', tMinC: tMinC!, tOptC: tOptC!, tMaxC: tMaxC! }),
  optimumC: ([, tOptC]) => tOptC!,
  starts: ({ bestC }) => combine(around(bestC), [2, 4, 6, 9, 13, 18].map(log), [0.5, 2, 5, 10, 16].map(log)),
};

const beta: FitForm = {
  names: cardinal.names,
  natural: ([opt, fall, rise]) => [opt! - exp(rise!), opt!, opt! + exp(fall!)],
  spec: ([tMinC, tOptC, tMaxC]) => ({ form: 'beta', tMinC: tMinC!, tOptC: tOptC!, tMaxC: tMaxC! }),
  optimumC: cardinal.optimumC,
  starts: ({ bestC }) => combine(around(bestC), [2, 4, 6, 9, 13, 18].map(log), [4, 8, 12, 17, 24].map(log)),
};

const briereStarts: FitForm['starts'] = ({ lowC, bestC, highC }) => {
  const tops = [...[1, 2, 3.5, 5, 7, 10, 14, 20].map((past) => bestC + past), highC + 0.5, highC + 1.5];
  return combine([0.1, 0.3, 0.5, 0.65, 0.8, 0.93], tops).map(([share, top]) => {
    const min = Math.max(0.5, lowC * share!);
    return [log(min), log(Math.max(2, top! - min))];
  });
};

const briere1: FitForm = {
  names: ['tMinC', 'tMaxC'],
  natural: ([min, span]) => [exp(min!), exp(min!) + exp(span!)],
  spec: ([tMinC, tMaxC]) => ({ form: 'briere1', tMinC: tMinC!, tMaxC: tMaxC! }),
  optimumC: ([tMinC, tMaxC]) => briereOptimumC(tMinC!, tMaxC!, 2),
  starts: briereStarts,
};

const briere2: FitForm = {
  names: ['tMinC', 'tMaxC', 'exponent'],
  natural: ([min, span, more]) => [exp(min!), exp(min!) + exp(span!), 0.2 + Math.min(19.8, exp(more!))],
  spec: ([tMinC, tMaxC, exponent]) => ({
    form: 'briere2',
    tMinC: tMinC!,
    tMaxC: tMaxC!,
    exponent: exponent!,
  }),
  optimumC: ([tMinC, tMaxC, exponent]) => briereOptimumC(tMinC!, tMaxC!, exponent!),
  starts: (table) =>
    briereStarts(table).flatMap((start) => [0.3, 0.8, 1.8, 4, 9].map((more) => [...start, log(more)])),
};

const linear = (cutoff: Cutoff): FitForm => ({
  names: ['lowerC', 'upperC'],
  natural: ([lower, span]) => [lower!, lower! + exp(span!)],
  spec: ([lowerC, upperC]) => ({ form: 'linear', lowerC: lowerC!, upperC: upperC!, cutoff }),
  optimumC: ([, upperC]) => upperC!,
  starts: ({ lowC, bestC, highC }) =>
    combine(
      [8, 5, 3, 1.5, 0.5].map((below) => lowC - below),
      [...around(bestC), highC + 0.5, highC + 1.5, highC + 4, highC + 10],
    ).map(([lower, upper]) => [lower!, log(Math.max(1, upper! - lower!))]),
});

export const fitForm = (form: ResponseForm, cutoff: Cutoff): FitForm =>
  form === 'linear' ? linear(cutoff) : { cardinal, beta, briere1, briere2 }[form];
