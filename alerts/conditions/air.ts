import { dewPointC, isHumidAir, vapourPressureDeficitPa } from '../../shared/air/psychrometrics.ts';
import type { SignalPlan } from './signal.ts';

/** Temperature and humidity of one sensor; they belong together when less than half a period apart. */
interface AirPair {
  sensor: string;
  temperature: string;
  humidity: string;
  everyMs: number;
}

const airPlan = (
  { temperature, humidity, everyMs }: AirPair,
  out: string,
  compute: (tempC: number, rhPercent: number) => number,
): SignalPlan => ({
  out,
  sources: [temperature, humidity],
  create() {
    const last = new Map([temperature, humidity].map((source) => [source, { t: -Infinity, value: 0 }]));
    const warm = last.get(temperature)!;
    const damp = last.get(humidity)!;
    return {
      read(source, t, value) {
        const mine = last.get(source)!;
        mine.t = t;
        mine.value = value;
        if (Math.abs(warm.t - damp.t) > everyMs / 2 || !isHumidAir(warm.value, damp.value)) return null;
        return compute(warm.value, damp.value);
      },
    };
  },
});

/** Dew point at a sensor [°C]. */
export const dewPointPlan = (pair: AirPair): SignalPlan =>
  airPlan(pair, `${pair.sensor}.dew-point`, dewPointC);

/** Vapour pressure deficit at a sensor [kPa]. */
export const vpdPlan = (pair: AirPair): SignalPlan =>
  airPlan(pair, `${pair.sensor}.vpd`, (tempC, rh) => vapourPressureDeficitPa(tempC, rh) / 1000);
