import type { Sensor } from '../../shared/farm/schema.ts';
import type { Random } from '../random.ts';

/** What a sensor is like as a piece of hardware. */
export interface SensorTraits {
  lagS: number;
  noiseK: number;
  noiseRhPercent: number;
  /** Steps in which it tells a value, in its own unit. */
  stepTemperature: number;
  stepHumidity: number;
  /** Standing error, and its growth over a month [K] (humidity: ten times as much in %). */
  offsetK: number;
  driftKPerMonth: number;
  /** Mean time between drop-outs [h], and their mean length [min]. */
  outageEveryH: number;
  outageMin: number;
  /** Keeps what it could not send and sends it later (needs a time of its own in the payload). */
  buffers: boolean;
  timeFormat: 'iso' | 'seconds' | 'milliseconds';
  /** Battery life [d]; 0 runs from the mains. */
  batteryDays: number;
}

/** Draws a sensor: a plain one is a wired probe, a JSON one a small radio unit. */
export function drawTraits(sensor: Sensor, random: Random): SensorTraits {
  const radio = sensor.decoder === 'json';
  return {
    lagS: radio ? random.between(120, 400) : random.between(40, 150),
    noiseK: radio ? random.between(0.03, 0.08) : random.between(0.02, 0.05),
    noiseRhPercent: random.between(0.2, 0.6),
    stepTemperature: radio ? random.pick([0.01, 0.1]) : random.pick([0.0625, 0.1]),
    stepHumidity: random.pick([0.1, 0.5]),
    offsetK: random.normal(0, 0.2),
    driftKPerMonth: random.normal(0, 0.06),
    outageEveryH: radio ? random.between(60, 400) : random.between(400, 1_500),
    outageMin: random.between(4, 25),
    buffers: sensor.timePointer !== undefined && random.chance(0.6),
    timeFormat: random.pick(['iso', 'seconds', 'milliseconds']),
    batteryDays: radio ? random.between(150, 700) : 0,
  };
}
