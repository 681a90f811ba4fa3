import { beforeEach, expect, test } from 'vitest';
import { importReadings } from '../../../../collector/import/import-readings.ts';
import { layoutOf } from '../../../../collector/import/reading-options.ts';
import { createStoreHistory } from '../../../../collector/store/history.ts';
import { openImportSite } from './site.ts';

let site: ReturnType<typeof openImportSite>;
beforeEach(() => {
  site = openImportSite();
});
const utc = (day: number, hour: number, minute = 0) => Date.UTC(2026, 9, day, hour, minute);
const take = (text: string | Buffer, given: Parameters<typeof layoutOf>[0], more = {}) =>
  importReadings(site.file('log.csv', text), {
    ...site,
    layout: layoutOf(given, 'Europe/Berlin'),
    ...more,
  });

test('columns by name, units, the site’s zone, and an empty cell that is no reading', async () => {
  const text = '\uFEFFTemp;When;RH\r\n68,0;2026-10-01 08:00;"61,5"\r\n69,8;2026-10-01T06:10:30Z;\r\n';
  const count = await take(text, {
    time: 'When',
    value: ['Temp=A1:degF', 'RH=A1.humidity'],
    decimal: ',',
  });
  expect(count).toMatchObject({ lines: 3, added: 3, known: 0, bad: 0, from: utc(1, 6) });
  expect(site.rows()).toEqual([
    ['damp-a1.humidity', utc(1, 6), 61.5, 0],
    ['on-a1.temperature', utc(1, 6), expect.closeTo(20, 9), 0],
    ['on-a1.temperature', utc(1, 6, 10) + 30_000, expect.closeTo(21, 9), 0],
  ]);
});

test('lines that name their place, with epoch seconds and milliseconds', async () => {
  const text = `at,who,c\n${utc(1, 6) / 1000},on-a1,20\n${utc(1, 7)},warm,21\n${utc(1, 8)},on-a1.temperature,22\n`;
  await take(text, { time: 'at', by: 'who', value: ['c'] });
  expect(site.rows().map(([channel, t, value]) => [channel, t, value])).toEqual([
    ['on-a1.temperature', utc(1, 6), 20],
    ['on-a1.temperature', utc(1, 8), 22],
    ['wall.temperature', utc(1, 7), 21],
  ]);
});

test('each bad line is told by its number and the rest is kept', async () => {
  const lines = [
    'time,t',
    '2026-10-01T08:00Z,20',
    'yesterday,20',
    '2026-10-01T08:01Z,warm',
    '2026-02-30T08:01Z,20',
    '2026-12-01T08:01Z,20',
    '2026-10-01T08:02Z,"20',
    '2026-10-01T08:03Z,85',
    '',
    '2026-10-01T08:04Z,21',
  ];
  const count = await take(lines.join('\n'), { value: ['t=A1'] });
  expect(count).toMatchObject({ added: 2, bad: 6 });
  const told = site.told.map((line) => /log\.csv:(\d+): (.*)/.exec(line)?.slice(1));
  expect(told).toEqual([
    ['3', expect.stringMatching(/'yesterday' is no time; wanted is ISO 8601/)],
    ['4', expect.stringMatching(/'warm' is no number for on-a1\.temperature/)],
    ['5', expect.stringMatching(/'2026-02-30T08:01Z' is no time/)],
    ['6', expect.stringMatching(/lies ahead/)],
    ['7', expect.stringMatching(/quotes do not close/)],
    ['8', expect.stringMatching(/failed sensor/)],
  ]);
});

test('a file read twice stores nothing twice, and roll-ups hold all of it', async () => {
  const text = `time,t\n${Array.from({ length: 500 }, (_, i) => `${utc(1, 0) + i * 30_000},${20 + (i % 10) / 10}`).join('\n')}`;
  expect(await take(text, { value: ['t=A1'] })).toMatchObject({ added: 500, known: 0 });
  expect(await take(text, { value: ['t=A1'] })).toMatchObject({ added: 0, known: 500 });
  const { points } = await createStoreHistory(site.database).series({
    channel: 'on-a1.temperature',
    from: utc(1, 0),
    to: utc(1, 6),
    maxPoints: 30,
  });
  expect(points.reduce((sum, point) => sum + point.count, 0)).toBe(500);
});

test('the farm file’s calibrations count from their day on, unless the values are corrected', async () => {
  const text = 'time,t\n2026-10-09T12:00,20\n2026-10-10T12:00,20\n';
  await take(text, { value: ['t=warm'] });
  expect(site.rows().map(([, , value]) => value)).toEqual([20, 19.5]);
  site = openImportSite();
  await take(text, { value: ['t=warm'], corrected: true });
  expect(site.rows().map(([, , value]) => value)).toEqual([20, 20]);
});

test('around a change of the clock: the first of two, and an hour later where there is none', async () => {
  const text = 'date,time,t\n2026-03-29,02:30,20\n2025-10-26,02:30,21\n';
  await take(text, { date: 'date', value: ['t=A1'] });
  expect(site.rows().map(([, t]) => t)).toEqual([Date.UTC(2025, 9, 26, 0, 30), Date.UTC(2026, 2, 29, 1, 30)]);
});

test('a layout that does not fit the file is refused whole, with everything that is wrong', async () => {
  const text = 'zeit,t\n2026-10-01T08:00Z,20\n';
  await expect(take(text, { value: ['t=A2', 'u=A1', 't=nowhere', 't=A1:ppm'] })).rejects.toThrow(
    /no column 'time' \(found: zeit, t\)\n.*several sensors measure temperature at A2; name one of on-a2\.temperature, a2-too\.temperature\.\nthere is no column 'u'.*\n.*'nowhere'.*\n.*cannot be in ppm; give one of degC, degF, K/s,
  );
  expect(site.rows()).toEqual([]);
  await expect(take(Buffer.from([0xff, 0xfe, 0x41, 0]), { value: ['t=A1'] })).rejects.toThrow(/not UTF-8/);
  await expect(take('', { value: ['t=A1'] })).rejects.toThrow(/is empty/);
  expect(() => layoutOf({}, 'UTC')).toThrow(/--value COLUMN=PLACE/);
  expect(() => layoutOf({ value: ['t'] }, 'UTC')).toThrow(/not COLUMN=PLACE/);
  expect(() => layoutOf({ value: ['t=A1'], zone: 'Mars' }, 'UTC')).toThrow(/no time zone/);
});

test('a file without a line of names', async () => {
  const count = await take('2026-10-01T08:00Z,20\n', { value: ['t=A1'] }, { columns: ['time', 't'] });
  expect(count).toMatchObject({ added: 1, bad: 0 });
});

test('on and off of a cooler, as words, as a power or as a share of time', async () => {
  const [contact, plug] = ['contact.cooler-on', 'plug.cooler-on'];
  const text = 'time,k,p\n2026-10-01T08:00Z,ON,300\n2026-10-01T08:01Z,off,12\n2026-10-01T08:02Z,maybe,\n';
  const count = await take(text, { value: [`k=${contact}`, `p=${plug}`] });
  expect(count).toMatchObject({ added: 4, bad: 1 });
  expect(site.told.join()).toMatch(/'maybe' is no state for contact.cooler-on: ON or OFF/);
  expect(site.rows().map(([channel, , value]) => [channel, value])).toEqual([
    ...[100, 0].map((value) => [contact, value]),
    ...[100, 0].map((value) => [plug, value]),
  ]);
  await take('time,s\n2026-10-02T08:00Z,"0,5"\n', { value: [`s=${plug}:fraction`], decimal: ',' });
  expect(site.rows().at(-1)).toEqual([plug, utc(2, 8), 50, 0]);
  await expect(take(text, { value: [`p=${contact}:W`] })).rejects.toThrow(/no onAboveW in the farm file/);
});
