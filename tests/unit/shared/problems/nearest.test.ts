import { describe, expect, it } from 'vitest';
import { nearest, slipsBetween } from '../../../../shared/problems/nearest.ts';

describe('slips between two words', () => {
  it.each([
    ['topic', 'topic', 0],
    ['topik', 'topic', 1],
    ['tpoic', 'topic', 1],
    ['topics', 'topic', 1],
    ['', 'topic', 5],
    ['kitten', 'sitting', 3],
  ])('%j and %j: %i', (a, b, slips) => {
    expect(slipsBetween(a, b)).toBe(slips);
    expect(slipsBetween(b, a)).toBe(slips);
  });
});

describe('the word that was meant', () => {
  const keys = ['topic', 'decoder', 'everyS', 'at', 'channels', 'timePointer'];
  it.each([
    ['topik', 'topic'],
    ['every_s', 'everyS'],
    ['EVERYS', 'everyS'],
    ['chanels', 'channels'],
    ['time-pointer', 'timePointer'],
    ['colour', undefined],
    ['', undefined],
    ['----', undefined],
  ])('%j -> %j', (word, meant) => expect(nearest(word, keys)).toBe(meant));

  it('does not spend long on a very long word', () => {
    expect(nearest('x'.repeat(100_000), keys)).toBeUndefined();
  });
});
