import { describe, expect, it } from 'vitest';
import { derivedChannels, derivedQuantity, deriveSeries } from '../../../../shared/air/derived.ts';
import { dewPointC, moistureRatio, vapourPressureDeficitPa } from '../../../../shared/air/psychrometrics.ts';
import { buildFarm } from '../../../../shared/farm/farm.ts';
import { farmFile } from '../../../../shared/farm/schema.ts';
import type { Series, SeriesPoint } from '../../../../shared/readings.ts';
import { minuteMs } from '../../../../shared/time.ts';

const point = (t: number, mean: number, spread = 0, count = 1): SeriesPoint => ({
  t,
  count,
  min: mean - spread,
  max: mean + spread,
  mean,
  last: mean,
  marked: 0,
});
const series = (bucketMs: number, ...points: SeriesPoint[]): Series => ({ channel: 'x', bucketMs, points });

describe('derived series', () => {
  it('are the psychrometrics of each pair', () => {
    const [warm, damp] = [
      series(0, point(0, 24), point(60_000, 25)),
      series(0, point(0, 85), point(60_000, 50)),
    ];
    const of = (quantity: (typeof derivedQuantity.options)[number]) =>
      deriveSeries('a', quantity, warm, damp).points.map(({ mean }) => mean);
    expect(of('dew-point')).toEqual([dewPointC(24, 85), dewPointC(25, 50)]);
    expect(of('vpd')).toEqual([
      vapourPressureDeficitPa(24, 85) / 1000,
      vapourPressureDeficitPa(25, 50) / 1000,
    ]);
    expect(of('moisture-ratio')).toEqual([1000 * moistureRatio(24, 85), 1000 * moistureRatio(25, 50)]);
  });

  it('hold the outermost that minimum and maximum of a bucket allow, in order', () => {
    const [warm, damp] = [series(minuteMs, point(0, 24, 2, 6)), series(minuteMs, point(0, 80, 10, 4))];
    for (const quantity of derivedQuantity.options) {
      const { points, bucketMs } = deriveSeries('a', quantity, warm, damp);
      const { min, mean, max, count } = points[0]!;
      expect(bucketMs).toBe(minuteMs);
      expect(count).toBe(4);
      expect(min).toBeLessThan(mean);
      expect(mean).toBeLessThan(max);
    }
    expect(deriveSeries('a', 'vpd', warm, damp).points[0]!.max).toBe(vapourPressureDeficitPa(26, 70) / 1000);
  });

  it('pair with the newest humidity up to then, and leave out what has none or cannot be', () => {
    const warm = series(0, ...[0, 5, 14, 40, 41].map((minute) => point(minute * minuteMs, 20)));
    const damp = series(0, point(4 * minuteMs, 60), point(39 * minuteMs, 104), point(41 * minuteMs, 120));
    const { points } = deriveSeries('a', 'dew-point', warm, damp);
    // 0 before any; 41 with air that cannot be; 104 % is fog.
    expect(points.map(({ t }) => t / minuteMs)).toEqual([5, 14, 40]);
    expect(points[2]!.mean).toBeCloseTo(20, 9);
  });

  it('carry marks of either', () => {
    const warm = series(0, { ...point(0, 20), marked: 1 });
    expect(deriveSeries('a', 'vpd', warm, series(0, point(0, 60))).points[0]!.marked).toBe(1);
  });
});

describe('what can be derived on a farm', () => {
  const sensor = (id: string, at: string, ...quantities: string[]) => ({
    id,
    topic: id,
    decoder: 'json',
    at,
    channels: quantities.map((quantity) => ({
      quantity,
      unit: quantity === 'humidity' ? '%' : 'degC',
      pointer: `/${quantity}`,
    })),
  });
  const farm = buildFarm(
    farmFile.parse({
      site: { id: 'f', name: 'F', timeZone: 'UTC' },
      rooms: [{ id: 'warm', name: 'Warm', racks: [{ id: 'A', shelves: [{ id: 'A1' }, { id: 'A2' }] }] }],
      sensors: [
        sensor('both', 'warm', 'temperature', 'humidity'),
        sensor('dry', 'A1', 'temperature'),
        sensor('wet', 'A1', 'humidity'),
        sensor('lone', 'A2', 'humidity'),
      ],
    }),
    [],
  );

  it('needs both at one place: of one sensor first, else of another there', () => {
    const pairs = derivedChannels(farm).filter(({ quantity }) => quantity === 'vpd');
    expect(pairs.map(({ id, temperature }) => [id, temperature.id])).toEqual([
      ['both.vpd', 'both.temperature'],
      ['wet.vpd', 'dry.temperature'],
    ]);
  });
});
