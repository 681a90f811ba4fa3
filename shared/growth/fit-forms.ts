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
  /** Starting points for the search, in free numbers, from the span of the table and its best temperature. */
  starts(table: { lowC: number; highC: number; bestC: number }): number[][];
}

const log = Math.log;
const exp = Math.exp;
/** Every combination of one member from each list. */
const combine = (...lists: number[][]): number[][] =>
  lists.reduce<number[][]>((rows, list) => rows.flatMap((row) => list.map((item) => [...row, item])), [[]]);

/** Optimum, fall to the maximum, and by how much the rise from the minimum is longer than the fall. */
const cardinal: FitForm = {
  names: ['tMinC', 'tOptC', 'tMaxC'],
  natural: ([opt, fall, more]) => [opt! - exp(fall!) - exp(more!), opt!, opt! + exp(fall!)],
  spec: ([tMinC, tOptC, tMaxC]) => ({ form: 'cardinal', tMinC: tMinC!, tOptC: tOptC!, tMaxC: tMaxC! }),
  optimumC: ([, tOptC]) => tOptC!,
  starts: ({ bestC, highC }) => {
    const past = Math.max(2, highC - bestC + 2);
    return combine([bestC - 1.5, bestC, bestC + 1.5], [log(past), log(past + 5)], [log(2), log(8), log(16)]);
  },
};

const beta: FitForm = {
  names: cardinal.names,
  natural: ([opt, fall, rise]) => [opt! - exp(rise!), opt!, opt! + exp(fall!)],
  spec: ([tMinC, tOptC, tMaxC]) => ({ form: 'beta', tMinC: tMinC!, tOptC: tOptC!, tMaxC: tMaxC! }),
  optimumC: cardinal.optimumC,
  starts: ({ bestC, lowC, highC }) => {
    const past = Math.max(2, highC - bestC + 2);
    const before = Math.max(2, bestC - lowC + 3);
    return combine(
      [bestC - 1.5, bestC, bestC + 1.5],
      [log(past), log(past + 5)],
      [log(before), log(before + 8)],
    );
  },
};

const briereStarts: FitForm['starts'] = ({ lowC, highC }) =>
  combine(
    [log(Math.max(1, lowC - 3)), log(Math.max(1, lowC / 2))],
    [log(highC - lowC + 4), log(highC - lowC + 12)],
  );

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
    briereStarts(table).flatMap((start) => [log(0.8), log(1.8), log(4)].map((more) => [...start, more])),
};

const linear = (cutoff: Cutoff): FitForm => ({
  names: ['lowerC', 'upperC'],
  natural: ([lower, span]) => [lower!, lower! + exp(span!)],
  spec: ([lowerC, upperC]) => ({ form: 'linear', lowerC: lowerC!, upperC: upperC!, cutoff }),
  optimumC: ([, upperC]) => upperC!,
  starts: ({ lowC, bestC, highC }) =>
    combine(
      [lowC - 4, lowC - 1, lowC + 1],
      [log(Math.max(2, bestC - lowC)), log(Math.max(2, highC - lowC) + 2)],
    ),
});

export const fitForm = (form: ResponseForm, cutoff: Cutoff): FitForm =>
  form === 'linear' ? linear(cutoff) : { cardinal, beta, briere1, briere2 }[form];
