import { expect, test } from 'vitest';
import { evidenceOf } from '../../../../collector/learning/evidence.ts';
import { type Kin, learn } from '../../../../collector/learning/hierarchy.ts';
import { firstBelief, traitBelief } from '../../../../shared/growth/belief.ts';
import { finishedBatch } from '../../../tools/finished-batch.ts';

const kin = (strain: string, species = 'oyster', way: Kin['way'] = 'agar-wedges'): Kin => ({
  strain,
  species,
  way,
});
const seen = (count: number, log: number, of: Kin = kin('larch-2'), sd = 0.05) =>
  Array.from({ length: count }, () => ({
    kin: of,
    evidence: evidenceOf(finishedBatch('AAA-111', { rate: { log, sd } }).traits!)!,
  }));
const rateSd = ({ covariance }: { covariance: number[] }) => Math.sqrt(covariance[0]!);

test('a posterior divided by its prior gives back what the looks said', () => {
  const { precision, weighted } = evidenceOf(finishedBatch('A', { rate: { log: 0.3, sd: 0.1 } }).traits!)!;
  expect(precision[0]).toBeCloseTo(100, 6);
  expect(weighted[0]! / precision[0]!).toBeCloseTo(0.3, 9);
  expect([...precision.slice(1)].every((value) => Math.abs(value) < 1e-6)).toBe(true);
});

test('a batch that nobody looked at says nothing, nor does the noise of an untouched posterior', () => {
  expect(evidenceOf(finishedBatch('A').traits!)).toBeUndefined();
  const noisy = finishedBatch('A', { rate: { log: 0.2, sd: 0.5 } }).traits!;
  expect(noisy.posterior.covariance[0]! / noisy.prior.covariance[0]!).toBeGreaterThan(0.82);
  expect(evidenceOf(noisy)).toBeUndefined();
});

test('without batches the belief is the first one', () => {
  const belief = learn([]).beliefOf(kin('larch-2'));
  expect(belief.mean).toEqual(firstBelief.mean);
  for (const [index, value] of belief.covariance.entries())
    expect(value).toBeCloseTo(firstBelief.covariance[index]!, 12);
});

test('one batch agrees with the two-line formula for a normal mean', () => {
  const belief = learn(seen(1, 0.3)).beliefOf(kin('larch-2'));
  // 84 % of the variance is shared with the next batch of the strain; the rest is batch to batch.
  const total = firstBelief.covariance[0]!;
  const shared = 0.84 * total;
  const noise = total - shared + 0.05 ** 2;
  // The way of inoculating keeps a trace of 1e-4 of the variance.
  expect(belief.mean[0]).toBeCloseTo((0.3 * shared) / (shared + noise), 3);
  expect(belief.covariance[0]).toBeCloseTo(total - shared ** 2 / (shared + noise), 4);
});

test('the tenth batch starts sharper than the first, and near what its kin were', () => {
  const sds = [0, 1, 3, 9].map((count) => rateSd(learn(seen(count, 0.3)).beliefOf(kin('larch-2'))));
  for (let i = 1; i < sds.length; i++) expect(sds[i]).toBeLessThan(sds[i - 1]!);
  const first = Math.sqrt(firstBelief.covariance[0]!);
  expect(sds[0]).toBeCloseTo(first, 6);
  expect(sds[3]).toBeLessThan(0.52 * first);
  expect(learn(seen(9, 0.3)).beliefOf(kin('larch-2')).mean[0]).toBeGreaterThan(0.27);
});

test('a strain learns most of its own batches, then of its species, then of the site', () => {
  const learned = learn(seen(6, 0.4));
  const [own, sister, stranger] = [kin('larch-2'), kin('larch-9'), kin('fen-3', 'reishi')].map((of) =>
    learned.beliefOf(of),
  );
  expect(own!.mean[0]).toBeGreaterThan(sister!.mean[0]!);
  expect(sister!.mean[0]).toBeGreaterThan(stranger!.mean[0]!);
  expect(stranger!.mean[0]).toBeGreaterThan(0.02);
  expect(rateSd(own!)).toBeLessThan(rateSd(sister!));
  expect(rateSd(sister!)).toBeLessThan(rateSd(stranger!));
  expect(rateSd(stranger!)).toBeLessThan(Math.sqrt(firstBelief.covariance[0]!));
});

test('the order of batches plays no part, and beliefs are well formed', () => {
  const batches = [
    ...seen(3, 0.2),
    ...seen(2, -0.3, kin('fen-3', 'reishi', 'liquid-culture')),
    ...seen(2, 0.5),
  ];
  const one = learn(batches).beliefOf(kin('larch-2'));
  const other = learn([...batches].reverse()).beliefOf(kin('larch-2'));
  for (const [index, value] of one.mean.entries()) expect(other.mean[index]).toBeCloseTo(value, 9);
  expect(traitBelief.safeParse(one).success).toBe(true);
});
