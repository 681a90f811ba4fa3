import { z } from 'zod';
import type { Channel, Farm } from '../farm/farm.ts';
import type { Series, SeriesPoint } from '../readings.ts';
import { minuteMs } from '../time.ts';
import { dewPointC, isHumidAir, moistureRatio, vapourPressureDeficitPa } from './psychrometrics.ts';

/** What temperature and humidity of one place say together. */
export const derivedQuantity = z.enum(['dew-point', 'vpd', 'moisture-ratio']);
export type DerivedQuantity = z.infer<typeof derivedQuantity>;

interface Recipe {
  unit: string;
  compute(tempC: number, rhPercent: number): number;
  /** +1 where more humidity gives more of it, -1 where less. All grow with temperature. */
  withHumidity: 1 | -1;
}

/** Dew point in °C, vapour pressure deficit in kPa, moisture ratio in g of water per kg of dry air. */
export const derivedRecipes: Record<DerivedQuantity, Recipe> = {
  'dew-point': { unit: 'degC', compute: dewPointC, withHumidity: 1 },
  vpd: { unit: 'kPa', compute: (t, rh) => vapourPressureDeficitPa(t, rh) / 1000, withHumidity: -1 },
  'moisture-ratio': { unit: 'g/kg', compute: (t, rh) => 1000 * moistureRatio(t, rh), withHumidity: 1 },
};

/** A series that is computed from two channels of one place. */
export interface DerivedChannel {
  /** `<sensor of the humidity>.<quantity>`. */
  id: string;
  quantity: DerivedQuantity;
  temperature: Channel;
  humidity: Channel;
}

/**
 * What can be derived on a farm: for each humidity channel, with the temperature of the same sensor or, if it has
 * none, of another one at the very same place.
 */
export function derivedChannels(farm: Farm): DerivedChannel[] {
  const channels = [...farm.channels.values()];
  const temperatures = channels.filter(({ quantity }) => quantity === 'temperature');
  return channels
    .filter(({ quantity }) => quantity === 'humidity')
    .flatMap((humidity) => {
      const temperature =
        temperatures.find(({ sensor }) => sensor.id === humidity.sensor.id) ??
        temperatures.find(({ room, shelf }) => room === humidity.room && shelf === humidity.shelf);
      if (temperature === undefined) return [];
      return derivedQuantity.options.map((quantity) => {
        return { id: `${humidity.sensor.id}.${quantity}`, quantity, temperature, humidity };
      });
    });
}

/** Readings of two channels belong together up to this far apart, or within one bucket. */
const togetherMs = 10 * minuteMs;

/**
 * One derived series from those of temperature and humidity. Each temperature goes with the newest humidity up to
 * it, no older than 10 min or the humidity's bucket; without one it is left out, as is air that cannot be. In
 * a bucket the mean is that of the means, and minimum and maximum are the outermost that the two allow.
 */
export function deriveSeries(
  channel: string,
  quantity: DerivedQuantity,
  temperature: Series,
  humidity: Series,
): Series {
  const { compute, withHumidity } = derivedRecipes[quantity];
  const within = Math.max(togetherMs, humidity.bucketMs);
  const value = (tempC: number, rhPercent: number): number => {
    // A sensor in fog may say a little over 100.
    const rh = rhPercent > 100 && rhPercent < 105 ? 100 : rhPercent;
    return isHumidAir(tempC, rh) ? compute(tempC, rh) : Number.NaN;
  };
  const points: SeriesPoint[] = [];
  let next = 0;
  for (const warm of temperature.points) {
    while (next < humidity.points.length && humidity.points[next]!.t <= warm.t) next++;
    const damp = humidity.points[next - 1];
    if (damp === undefined || warm.t - damp.t > within) continue;
    const [dry, wet] = withHumidity === 1 ? [damp.min, damp.max] : [damp.max, damp.min];
    const point = {
      min: value(warm.min, dry),
      max: value(warm.max, wet),
      mean: value(warm.mean, damp.mean),
      last: value(warm.last, damp.last),
    };
    if (!Object.values(point).every(Number.isFinite)) continue;
    const count = Math.min(warm.count, damp.count);
    points.push({ t: warm.t, count, ...point, marked: Math.min(count, Math.max(warm.marked, damp.marked)) });
  }
  return { channel, bucketMs: Math.max(temperature.bucketMs, humidity.bucketMs), points };
}
