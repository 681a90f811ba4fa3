import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { editList } from '../../../../collector/farm/edit-list.ts';

const path = ['high', 'during'];
const tuesday = { days: ['tue'], from: '13:00', to: '17:00', high: 33 };
const friday = { days: ['fri'], from: '08:00', to: '12:00', high: 31 };
const night = { from: '22:00', to: '06:00', high: 26 };

const lines = `high:
  during:
    # hot loads from the big boiler
    - { days: [tue], from: "13:00", to: "17:00", high: 33 } # Tuesdays
    # the small one
    - days: [fri]
      from: "08:00" # after the milk
      to: "12:00"
      high: 31
  low: 20 # frost
`;
const oneLine = `high: { during: [{ days: [tue], from: "13:00", to: "17:00", high: 33 }, { days: [fri], from: "08:00", to: "12:00", high: 31 }] }\n`;

describe.each([
  ['in lines', lines],
  ['in one line', oneLine],
])('a list %s', (_, text) => {
  it.each([
    ['gets an item at its end', [tuesday, friday, night]],
    ['gets one before all', [night, tuesday, friday]],
    ['gets one between', [tuesday, night, friday]],
    ['loses its first', [friday]],
    ['loses its last', [tuesday]],
    ['has a value changed', [{ ...tuesday, high: 34 }, friday]],
    ['has days changed and a level more', [tuesday, { ...friday, days: ['mon', 'sat'], low: 15 }]],
    ['has a value taken out', [tuesday, { from: '08:00', to: '12:00', high: 31 }]],
    ['changes, shrinks and keeps none of its own', [night]],
  ])('%s', (_what, after) => {
    const edited = editList(text, path, [tuesday, friday], after);
    expect((parse(edited) as { high: { during: unknown } }).high.during).toEqual(after);
  });
});

it('what is said beside an item that stays, stays', () => {
  const changed = editList(lines, path, [tuesday, friday], [{ ...tuesday, high: 34 }, friday, night]);
  expect(changed).toBe(
    lines
      .replace('high: 33', 'high: 34')
      .replace('      high: 31\n', '      high: 31\n    - { from: "22:00", to: "06:00", high: 26 }\n'),
  );
  const gone = editList(lines, path, [tuesday, friday], [friday]);
  expect(gone).toBe(lines.replace(/ {4}- \{ days: \[tue\].*\n/, ''));
});

it('with carriage returns, and at the end of a file without a line break', () => {
  const text = 'high:\r\n  during:\r\n    - { from: "22:00", to: "06:00", high: 26 }';
  const edited = editList(text, path, [night], [night, tuesday]);
  expect(edited).toBe(`${text}\r\n    - { days: [tue], from: "13:00", to: "17:00", high: 33 }`);
});

it('a list that an alias stands for is not touched', () => {
  const text = `a: &spans\n  - { from: "22:00", to: "06:00", high: 26 }\nhigh: { during: *spans }\n`;
  expect(() => editList(text, path, [night], [night, tuesday])).toThrow(/no such list/);
});
