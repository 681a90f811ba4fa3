import { describe, expect, test } from 'vitest';
import type { BatchState } from '../../../shared/batches.ts';
import {
  type Beliefs,
  batchTraits,
  firstBelief,
  type TraitBelief,
  traitBelief,
  traits,
} from '../../../shared/growth/belief.ts';
import { at, batchOf, dayOf, engineWith } from './farm.ts';

const steady = () => 24;
const nobody: Beliefs = { strains: [], people: [] };

/** The first belief with a log rate of `mean`, and spreads narrowed by a factor. */
const belief = (mean: number, narrowed = 1): TraitBelief => ({
  mean: traits.map((trait) => (trait === 'rate' ? mean : 0)),
  covariance: firstBelief.covariance.map((value) => value * narrowed * narrowed),
  coreOffsetK: firstBelief.coreOffsetK,
});
const believing = (one: TraitBelief, way: 'agar-wedges' | null = null): Beliefs => ({
  ...nobody,
  strains: [{ strain: 'oyster-one', way, belief: one }],
});

const readyOf = (beliefs: Beliefs, batch = batchOf()) => {
  const engine = engineWith([batch], steady);
  engine.setBeliefs(beliefs);
  return engine.advance(at(5)).forecasts[0]!.ready.at!;
};

describe('beliefs from outside', () => {
  test('a quicker strain is ready sooner, a better known one has a narrower interval', () => {
    const plain = readyOf(nobody);
    const quick = readyOf(believing(belief(0.3)));
    const known = readyOf(believing(belief(0, 0.3)));
    expect(quick.likely).toBeLessThan(plain.likely);
    expect(known.latest - known.earliest).toBeLessThan(0.6 * (plain.latest - plain.earliest));
  });

  test('one for the way of inoculating goes before one for the strain', () => {
    const both: Beliefs = {
      ...nobody,
      strains: [
        { strain: 'oyster-one', way: null, belief: belief(-0.3) },
        { strain: 'oyster-one', way: 'agar-wedges', belief: belief(0.3) },
      ],
    };
    expect(readyOf(both)).toEqual(readyOf(believing(belief(0.3))));
  });

  test('a core that is known to be warmer is ready sooner and is told warmer', () => {
    const engine = engineWith([batchOf()], steady);
    engine.setBeliefs(nobody);
    const before = engine.advance(at(5)).forecasts[0]!;
    engine.setBeliefs(believing({ ...belief(0), coreOffsetK: { mean: 1.5, sd: 0.2 } }));
    const after = engine.advance(at(5)).forecasts[0]!;
    // A little more than the offset: what grows sooner heats itself more.
    expect(after.coreTempC - before.coreTempC).toBeGreaterThan(1.45);
    expect(after.coreTempC - before.coreTempC).toBeLessThan(1.7);
    expect(after.ready.at!.likely).toBeLessThan(before.ready.at!.likely);
  });

  test('works out anew only what is believed otherwise', () => {
    const engine = engineWith([batchOf(), batchOf({ id: 'b2', strain: 'quick-reishi' })], steady);
    engine.advance(at(5));
    engine.setBeliefs(believing(belief(0.1)));
    expect(engine.advance(at(5)).forecasts.map(({ batch }) => batch)).toEqual(['b1']);
    engine.setBeliefs(believing(belief(0.1)));
    expect(engine.advance(at(5)).forecasts).toEqual([]);
  });

  test('a person who always sees too much is believed less', () => {
    const batch = batchOf({ checks: [[4.9, 0.4]] });
    const plain = readyOf(nobody, batch);
    const known = readyOf({ ...nobody, people: [{ who: 'Ada', habit: { mean: 1.5, sd: 0.1 } }] }, batch);
    expect(known.likely).toBeGreaterThan(plain.likely);
  });

  test('a covariance that is none is refused where it enters', () => {
    const broken = { ...belief(0), covariance: firstBelief.covariance.map((value) => -value) };
    expect(traitBelief.safeParse(broken).success).toBe(false);
    expect(traitBelief.safeParse(belief(0)).success).toBe(true);
  });
});

describe('what a batch teaches', () => {
  const learned = (batch: BatchState, days = 12) => {
    const engine = engineWith([batch], steady);
    engine.advance(at(days));
    return batchTraits.parse(engine.traits(batch));
  };

  test('without a look, nothing', () => {
    const { posterior, prior, looks, airTold } = learned(batchOf());
    expect(posterior).toEqual(prior);
    expect(looks).toEqual([]);
    expect(airTold).toBe(1);
  });

  test('a bag well ahead teaches a rate above the table, and narrows it', () => {
    const checks: [number, number][] = [
      [5, 0.35],
      [6, 0.62],
      [7, 0.8],
    ];
    const { posterior, prior, looks } = learned(batchOf({ checks }));
    const rate = traits.indexOf('rate');
    expect(posterior.mean[rate]!).toBeGreaterThan(0.05);
    const sd = (one: TraitBelief) => Math.sqrt(one.covariance[0]!);
    expect(sd(posterior)).toBeLessThan(sd(prior));
    // Looks alone hardly tell a warmer core from a quicker strain: what they leave open stays so.
    expect(Math.abs(posterior.coreOffsetK.mean - prior.coreOffsetK.mean)).toBeLessThan(
      prior.coreOffsetK.sd / 4,
    );
    expect(looks.map(({ judged }) => judged)).toEqual([0.35, 0.62, 0.8]);
    for (const { share, judged, slip } of looks) {
      expect(Math.abs(share.mean - judged)).toBeLessThan(0.15);
      expect(slip).toBeLessThan(0.3);
    }
  });

  test('an ended batch tells it from all its cohorts, whether or not it stands', () => {
    const standing = batchOf({ checks: [[6, 0.3]] });
    const cohort = standing.cohorts[0]!;
    const ended: BatchState = {
      ...standing,
      endedAt: at(9),
      cohorts: [{ ...cohort, left: { t: at(9), how: 'used', reason: '' } }],
    };
    const engine = engineWith([], steady);
    engine.advance(at(10));
    const told = batchTraits.parse(engine.traits(ended));
    expect(dayOf(told.asOf)).toBe(9);
    expect(told.looks).toHaveLength(1);
  });

  test('a discarded batch keeps what was seen and says nothing of when it would have filled', () => {
    const standing = batchOf({ checks: [[6, 0.3]] });
    const gone = (how: 'used' | 'discarded'): BatchState => ({
      ...standing,
      endedAt: at(9),
      cohorts: [{ ...standing.cohorts[0]!, left: { t: at(9), how, reason: 'contaminated' } }],
    });
    const discarded = learned(gone('discarded')).posterior;
    // But for the order in which weights are summed.
    const rounded = (belief: object) =>
      JSON.stringify(belief, (_, value) => (typeof value === 'number' ? Number(value.toFixed(9)) : value));
    expect(rounded(discarded)).toBe(rounded(learned(standing, 9).posterior));
    expect(discarded.mean[0]!).toBeLessThan(learned(gone('used')).posterior.mean[0]!);
  });

  test('says why it cannot tell', () => {
    expect(engineWith([], steady).traits(batchOf({ strain: 'gone' }))).toContain("no strain 'gone'");
  });
});

test('looks at bags that left count for those that stand, which alone are forecast', () => {
  const one = batchOf();
  const cohort = one.cohorts[0]!;
  const check = { t: at(6), share: 0.7, who: 'Ada', event: 'seen-first' };
  const parted: BatchState = {
    ...one,
    cohorts: [
      {
        ...cohort,
        id: 'b1/1',
        bags: [1],
        checks: [check],
        left: { t: at(6.1), how: 'discarded', reason: 'wet' },
      },
      { ...cohort, id: 'b1/2', bags: [2, 3] },
    ],
  };
  const engine = engineWith([parted], steady);
  const { forecasts } = engine.advance(at(7));
  expect(forecasts.map((forecast) => forecast.cohort)).toEqual(['b1/2']);
  const unseen = engineWith([one], steady).advance(at(7)).forecasts[0]!;
  expect(forecasts[0]!.ready.at!.likely).toBeLessThan(unseen.ready.at!.likely);
});
