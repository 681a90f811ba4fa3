import { beforeEach, expect, test } from 'vitest';
import { importMinMax } from '../../../../collector/import/import-minmax.ts';
import { openImportSite } from './site.ts';

let site: ReturnType<typeof openImportSite>;
beforeEach(() => {
  site = openImportSite();
});
const take = (text: string, more = {}) =>
  importMinMax(site.file('days.csv', text), {
    ...site,
    place: 'A1',
    columns: { date: 'date', min: 'min', max: 'max' },
    unit: 'degC',
    timeZone: 'Europe/Berlin',
    decimal: '.',
    ...more,
  });

test('two days become a curve of estimated readings between their extremes', async () => {
  const count = await take('date,min,max\n2026-10-01,18,24\n2026-10-02,17,25\n');
  expect(count).toMatchObject({ added: 192, bad: 0, from: Date.UTC(2026, 8, 30, 22) });
  const rows = site.rows();
  expect(new Set(rows.map(([channel, , , quality]) => `${channel} ${quality}`))).toEqual(
    new Set(['on-a1.temperature 4']),
  );
  const at = (day: number, hour: number) => rows.find(([, t]) => t === Date.UTC(2026, 9, day, hour - 2))![2];
  expect([at(1, 6), at(1, 15), at(2, 6), at(2, 15)]).toEqual([18, 24, 17, 25]);
  expect(await take('date,min,max\n2026-10-01,18,24\n2026-10-02,17,25\n')).toMatchObject({
    added: 0,
    known: 192,
  });
});

test('bad days are told by their lines and leave a gap; other units and columns', async () => {
  const text =
    'Tag;kalt;warm\n2026-10-01;64,4;75,2\n2026-10-02;80;70\n1.10.2026;64;70\n2026-10-01;60;70\n2026-13-01;60;70\n2026-10-04;64,4;75,2\n';
  const count = await take(text, {
    columns: { date: 'Tag', min: 'kalt', max: 'warm' },
    unit: 'degF',
    decimal: ',',
  });
  expect(count).toMatchObject({ added: 192, bad: 4 });
  expect(site.told.map((line) => line.trim())).toEqual([
    expect.stringMatching(/days\.csv:3: minimum 26\.6.* is above maximum 21\.1.* degC/),
    expect.stringMatching(/:4: '1\.10\.2026' is no date/),
    expect.stringMatching(/:5: line 2 says something else of 2026-10-01/),
    expect.stringMatching(/:6: /),
  ]);
});

test('a place without a temperature sensor is refused with what to add', async () => {
  await expect(take('date,min,max\n', { place: 'A2' })).rejects.toThrow(/several sensors/);
  await expect(take('date,min,max\n', { place: 'damp-a1' })).rejects.toThrow(/nothing measures temperature/);
  await expect(take('day,min,max\n')).rejects.toThrow(/no column 'date' \(found: day, min, max\)/);
});
