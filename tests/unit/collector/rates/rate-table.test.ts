import { describe, expect, it } from 'vitest';
import { parseRates } from '../../../../collector/rates/rate-table.ts';

const rowsOf = (text: string, options = {}) => {
  const parsed = parseRates(text, 'rates.csv', options);
  if (!parsed.ok) throw new Error(parsed.problems.join('\n'));
  return parsed.table.rows;
};
const problemsOf = (text: string, options = {}): string[] => {
  const parsed = parseRates(text, 'rates.csv', options);
  return parsed.ok ? [] : parsed.problems;
};

describe('a table of rates', () => {
  it('is found by its header, whatever the order and the other columns', () => {
    expect(rowsOf('plate,rate,temperature\na,1.5,20\nb,0,35\n')).toEqual([
      { tempC: 20, rate: 1.5 },
      { tempC: 35, rate: 0 },
    ]);
    expect(rowsOf('# a trial\nTemp (°C);growth mm/d;SD\r\n20;1,5;0,2\r\n')).toEqual([
      { tempC: 20, rate: 1.5, sd: 0.2 },
    ]);
    expect(rowsOf('\uFEFFT\tRate\n20\t1.5\n')).toEqual([{ tempC: 20, rate: 1.5 }]);
  });

  it('needs no header when it is two columns of numbers', () => {
    expect(rowsOf('20,1.5\n25,2\n')).toHaveLength(2);
  });

  it.each(['temperature_F,rate', 'Temp (°F),rate', 'deg F,rate'])('reads %s as Fahrenheit', (head) => {
    expect(rowsOf(`${head}\n77,2\n`)[0]!.tempC).toBeCloseTo(25, 12);
  });

  it('takes names of columns by option', () => {
    const named = rowsOf('x,y\n77,2\n', { temperature: 'x', rate: 'y', fahrenheit: true });
    expect(named[0]!.tempC).toBeCloseTo(25, 12);
  });

  it('lists every bad line with its number', () => {
    expect(problemsOf('temperature,rate\n10,1\n# remark\n14,x\n,2\n400,-1\n')).toEqual([
      'rates.csv:4: rate "x"; wanted a number of 0 or more',
      'rates.csv:5: temperature is missing; wanted a number from -40 to 150 degC',
      'rates.csv:6: temperature "400"; wanted a number from -40 to 150 degC',
      'rates.csv:6: rate "-1"; wanted a number of 0 or more',
    ]);
    expect(problemsOf('temperature,rate,sd\n10,1,0\n')[0]).toMatch(/:2: sd "0"; wanted a number above 0/);
  });

  it('says what a header lacks', () => {
    expect(problemsOf('warmth,rate\n1,2\n')[0]).toMatch(
      /:1: no column for temperature in the header "warmth, rate"/,
    );
    expect(problemsOf('temperature,rate\n1,2\n', { sd: 'error' })[0]).toMatch(/no column for error/);
    expect(problemsOf('')[0]).toMatch(/empty/);
    expect(problemsOf('temperature,rate\n"10,1\n')[0]).toMatch(/rates.csv: /);
  });
});
