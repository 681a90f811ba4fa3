import { expect, test } from 'vitest';
import { writingOf } from '../../../../../dashboard/web/format/value.ts';
import { exampleRates, trialRows } from '../../../../../dashboard/web/strain/trial-rows.ts';

test.each([
  ['15, 0.9\n20, 2.84'],
  ['15,0.9\n20,2.84'],
  ['15\t0,9\n20\t2,84'],
  ['15; 0,9\n20; 2,84'],
  ['temperature  rate\n15  0.9\n\n20  2.84\n'],
])('rates typed as %j are read', (text) => {
  expect(trialRows(text, false)).toEqual({
    rows: [
      { tempC: 15, rate: 0.9 },
      { tempC: 20, rate: 2.84 },
    ],
    wrong: [],
  });
});

test('a third number is a standard deviation, temperatures may be in degrees Fahrenheit', () => {
  const { rows } = trialRows('77 3.4 0.2', true);
  expect(rows[0]!.tempC).toBeCloseTo(25, 9);
  expect(rows[0]).toMatchObject({ rate: 3.4, sd: 0.2 });
});

test('lines that are no rates are told by number, a heading only where it stands first', () => {
  expect(trialRows('15 0.9\nabout 20\n25 3 0.1 7\n30', false)).toEqual({
    rows: [{ tempC: 15, rate: 0.9 }],
    wrong: [2, 3, 4],
  });
});

test('the example is of the same rates in whichever unit the screen has', () => {
  const [celsius, fahrenheit] = (['C', 'F'] as const).map(
    (unit) => trialRows(exampleRates(writingOf('temperature', unit)), unit === 'F').rows,
  );
  expect(celsius!.map(({ tempC }) => tempC)).toEqual([15, 20, 25, 30]);
  expect(fahrenheit).toEqual(celsius);
});
