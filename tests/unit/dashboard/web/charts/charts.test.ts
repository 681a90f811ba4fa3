import { describe, expect, it } from 'vitest';
import { csvOf } from '../../../../../dashboard/web/charts/csv.ts';
import { seriesPlan, ticksOf } from '../../../../../dashboard/web/charts/series-plan.ts';
import { thinned } from '../../../../../dashboard/web/charts/series-table.tsx';
import {
  moved,
  rangeOf,
  searchOf,
  spanMs,
  spanOf,
  viewOf,
  zoomed,
} from '../../../../../dashboard/web/charts/span.ts';
import { dayMs, hourMs } from '../../../../../shared/time.ts';
import { fernhollow } from '../../../../browser/fixture/farm.ts';
import { journalAt, seriesOf } from '../../../../browser/fixture/history.ts';
import { fixtureNow, liveAt } from '../../../../browser/fixture/live.ts';

const known = ['a.temperature', 'b.humidity'];
const day = { channels: ['a.temperature'], lengthMs: spanMs.day, to: null };

describe('what a chart looks at', () => {
  it('goes through the address and back', () => {
    const view = { channels: known, lengthMs: spanMs.week, to: fixtureNow };
    expect(viewOf(searchOf(view), known)).toEqual(view);
    expect(viewOf(searchOf(day), known)).toEqual(day);
  });

  it.each(['?length=-4&to=x&channel=gone', '', '?length=1e99'])('is the last day for %j', (search) => {
    expect(viewOf(search, known)).toEqual({ channels: [], lengthMs: spanMs.day, to: null });
  });

  it('moves by half its length, and ends now at the latest', () => {
    const earlier = moved(day, -1, fixtureNow);
    expect(rangeOf(earlier, fixtureNow)).toEqual([fixtureNow - 1.5 * dayMs, fixtureNow - dayMs / 2]);
    expect(moved(earlier, 1, fixtureNow).to).toBeNull();
  });

  it('zooms to what was dragged over, but not into nothing', () => {
    const from = fixtureNow - 3 * hourMs;
    expect(rangeOf(zoomed(day, from, from + hourMs), fixtureNow)).toEqual([from, from + hourMs]);
    expect(zoomed(day, from, from + 10).lengthMs).toBe(300_000);
    expect(spanOf(zoomed(day, from, from + hourMs).lengthMs)).toBe('hour');
    expect(spanOf(1234)).toBeUndefined();
  });
});

describe('a computed series', () => {
  const derived = [
    ['dew-point', 'degC'],
    ['vpd', 'kPa'],
    ['moisture-ratio', 'g/kg'],
  ] as const;
  const farm = {
    ...fernhollow,
    derived: derived.map(([quantity, unit]) => ({
      ...fernhollow.channels[0]!,
      id: `warm-air.${quantity}`,
      quantity,
      unit,
    })),
  };
  const like = seriesOf({
    channel: 'warm-air.temperature',
    from: fixtureNow - dayMs,
    to: fixtureNow,
    maxPoints: 100,
  });

  it('is drawn like a measured one, a dew point on the scale of temperatures', () => {
    const plan = seriesPlan({
      farm,
      series: [like, ...derived.map(([quantity]) => ({ ...like, channel: `warm-air.${quantity}` }))],
      from: fixtureNow - dayMs,
      to: fixtureNow,
      ticks: [],
      temperature: 'C',
    });
    expect(plan.lines.map(({ scale }) => scale)).toEqual([
      'temperature',
      'temperature',
      'vpd',
      'moisture-ratio',
    ]);
    expect(plan.scales.vpd).toMatchObject({ unit: 'kPa', decimals: 2 });
    expect(plan.lines[1]!.label).toContain('dew point');
  });
});

describe('the plan of a chart', () => {
  const series = ['warm-air.temperature', 'warm-air.humidity', 'cool-air.temperature'].map((channel) =>
    seriesOf({ channel, from: fixtureNow - 7 * dayMs, to: fixtureNow, maxPoints: 500 }),
  );
  const plan = seriesPlan({
    farm: fernhollow,
    series,
    from: fixtureNow - 7 * dayMs,
    to: fixtureNow,
    ticks: [],
    temperature: 'C',
  });

  it('gives one scale to each unit, left and right', () => {
    expect(Object.entries(plan.scales).map(([key, { side }]) => [key, side])).toEqual([
      ['temperature', 'left'],
      ['humidity', 'right'],
    ]);
    expect(plan.lines.map(({ hand }) => hand)).toEqual([0, 1, 2]);
    expect(plan.lines[0]?.label).toBe('Warm room temperature');
  });

  it('shows the limits that hold there, and names the room where several differ', () => {
    expect(plan.limits.map(({ text }) => text)).toContain('Warm room high 28');
    expect(plan.limits.map(({ text }) => text)).toContain('Cool room low 18');
  });

  it('keeps a cooler between none and all of the time, at the foot of the chart beside other lines', () => {
    const cooler = { channel: 'warm-cooler.cooler-on', bucketMs: 300_000, points: [] };
    const of = (more: typeof series) =>
      seriesPlan({ farm: fernhollow, series: more, from: 0, to: 1, ticks: [], temperature: 'C' });
    const beside = of([series[0]!, cooler]);
    expect(beside.lines.map(({ label, band }) => [label, band === null])).toEqual([
      ['Warm room temperature', false],
      ['Warm room cooler on', true],
    ]);
    expect(beside.scales['cooler-on']).toMatchObject({ unit: '%', side: 'right', marks: [0, 50, 100] });
    expect(beside.scales['cooler-on']!.range![1]).toBeGreaterThan(400);
    expect(beside.limits.every(({ scale }) => scale === 'temperature')).toBe(true);
    expect(of([cooler])).toMatchObject({ limits: [], scales: { 'cooler-on': { range: [0, 106] } } });
  });

  it('has a band for roll-ups and none for readings as sent', () => {
    expect(plan.lines[0]?.band).not.toBeNull();
    const raw = seriesPlan({
      farm: fernhollow,
      series: [{ ...series[0]!, bucketMs: 0 }],
      from: 0,
      to: 1,
      ticks: [],
      temperature: 'F',
    });
    expect(raw.lines[0]?.band).toBeNull();
    expect(raw.limits.map(({ text }) => text)).toEqual(['low 68', 'high 82.4']);
  });

  it('ticks what was done on the channel’s shelf, and its own alarms', () => {
    const { batches } = liveAt(fixtureNow, 'quiet');
    const on = (id: string) => fernhollow.channels.filter((channel) => channel.id === id);
    const shelf = ticksOf(on('shelf-a3.temperature'), batches, []);
    expect(shelf.length).toBeGreaterThan(0);
    expect(new Set(shelf.map(({ t }) => t)).size).toBe(shelf.length);
    const alarms = ticksOf(on('warm-air.temperature'), [], journalAt(fixtureNow));
    expect(alarms.map(({ kind }) => kind)).toEqual(['alarm', 'alarm']);
    expect(ticksOf(on('cool-air.temperature'), [], journalAt(fixtureNow))).toEqual([]);
    const ofRoom = journalAt(fixtureNow).map((entry) => ({ ...entry, alarm: 'high/warm.temperature' }));
    expect(ticksOf(on('shelf-b1.temperature'), [], ofRoom).length).toBeGreaterThan(0);
  });
});

describe('the numbers behind it', () => {
  const [one] = [
    seriesOf({ channel: 'warm-air.temperature', from: fixtureNow - hourMs, to: fixtureNow, maxPoints: 500 }),
  ];

  it('are CSV in SI, a row for each point', () => {
    const rows = csvOf([one!], fernhollow.channels).trimEnd().split('\r\n');
    expect(rows[0]).toBe('time,channel,unit,mean,lowest,highest,last,readings,marked');
    expect(rows).toHaveLength(one!.points.length + 1);
    expect(rows[1]).toMatch(/^2026-11-24T12:32:00\.000Z,warm-air\.temperature,degC,\d/);
  });

  it('never hand a spreadsheet a formula', () => {
    const odd = { ...one!, channel: '=cmd,"x"', points: one!.points.slice(0, 1) };
    expect(csvOf([odd], []).split('\r\n')[1]).toContain(`"'=cmd,""x"""`);
  });

  it('are thinned without losing an extreme or a count', () => {
    const points = one!.points;
    const rows = thinned(points, 7);
    expect(rows.length).toBeLessThanOrEqual(7);
    expect(Math.max(...rows.map(({ max }) => max))).toBe(Math.max(...points.map(({ max }) => max)));
    expect(rows.reduce((sum, { count }) => sum + count, 0)).toBe(points.length);
    expect(thinned(points, 1_000)).toEqual(points);
  });
});
