import { dictionary } from '@zxcvbn-ts/language-common';
import { expect, it } from 'vitest';
import { bitsOf, strengthOf } from '../../../../../dashboard/web/doors/strength.ts';

it.each([
  ['spores', 'short'],
  ['aaaaaaaaaaaaaaaa', 'weak'],
  ['qwertyuiopasdf', 'weak'],
  ['abcdefghijklmnop', 'weak'],
  ['098765432109876', 'weak'],
  ['Mushroom2024', 'weak'],
  ['moulds moulds moulds', 'weak'],
  ['fernhollow2025', 'fair'],
  ['q1w2e3r4t5y6', 'weak'],
  ['1qaz2wsx3edc', 'weak'],
  ['correct horse battery staple', 'strong'],
  ['four words of our own', 'strong'],
  ['k7#wq9!xd2&m', 'strong'],
  ['Рожь дома в печке', 'strong'],
])('%j seems %s', (password, strength) => {
  expect(strengthOf(password)).toBe(strength);
});

it('a name makes a password no stronger', () => {
  expect(bitsOf('Søren Ångström 12', 'Søren Ångström')).toBe(bitsOf('12') + 1);
  expect(strengthOf('Ida Ida Ida Ida', 'Ida')).toBe('weak');
});

it('a year is one of few, and less than any four digits', () => {
  expect(bitsOf('lichen 1974')).toBeLessThan(bitsOf('lichen 4983'));
});

it('more of the same adds nothing, another word always something', () => {
  expect(bitsOf('lichen 77777777')).toBe(bitsOf('lichen 777'));
  expect(bitsOf('lichen on old birch')).toBeGreaterThan(bitsOf('lichen on old'));
});

// Published lists of leaked passwords (zxcvbn-ts): those long enough to be taken must not look strong.
it('few of the commonest passwords of leaks that are long enough seem strong', () => {
  const leaked = (dictionary['passwords-common'] as string[]).filter(({ length }) => length >= 12);
  const strong = leaked.filter((password) => strengthOf(password) === 'strong');
  expect(leaked.length).toBeGreaterThan(300);
  expect(strong.length / leaked.length).toBeLessThan(0.1);
});
