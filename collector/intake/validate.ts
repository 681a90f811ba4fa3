import type { Channel } from '../../shared/farm/farm.ts';
import type { Quality, Quantity, Reading } from '../../shared/readings.ts';
import { type EpochMs, minuteMs } from '../../shared/time.ts';
import { toSi } from '../../shared/units/convert.ts';
import { type Correct, compileCalibration } from './calibrate.ts';

/**
 * What a sensor of a farm can plausibly say, in SI: the span of common parts, not of a healthy room.
 * Common practice, no source.
 */
const plausible: Record<Quantity, readonly [low: number, high: number]> = {
  temperature: [-40, 125],
  'probe-temperature': [-55, 150],
  humidity: [0, 100],
  co2: [0, 100_000],
  pressure: [30_000, 120_000],
  battery: [0, 100],
  'cooler-on': [0, 100],
};

/** Shares may overshoot their ends by this much through tolerance and calibration, %; they are then cut. */
const overshoot = 5;

/** How far a sensor's clock may run ahead before its time is not believed. */
export const aheadMs = 2 * minuteMs;
/** 2015-01-01: an earlier time is a clock that was never set. */
const firstPlausibleMs: EpochMs = 1_420_070_400_000;

/** What 1-wire temperature parts say after a power-on without conversion, and when they are not there. */
const readFailuresC = [85, -127] as const;

export interface ChannelRule {
  channel: string;
  /**
   * Makes a reading of a finite value in the sensor's unit; undefined when it is a known read failure.
   * `sensorT` is NaN where the payload said no time.
   */
  read(sent: number, sensorT: number, receivedAt: EpochMs, retained: boolean): Reading | undefined;
}

/** Compiles what the farm file says of a channel: unit, calibration, plausible range. */
export function createChannelRule(channel: Channel, timeZone: string): ChannelRule {
  const { id, quantity, spec } = channel;
  const { unit, onAboveW } = spec;
  const correct: Correct = compileCalibration(spec.calibration, timeZone);
  const [low, high] = plausible[quantity];
  const isTemperature = quantity === 'temperature' || quantity === 'probe-temperature';
  const isShare = quantity === 'humidity' || quantity === 'battery' || quantity === 'cooler-on';
  let lastReceiveT = Number.NEGATIVE_INFINITY;

  /** Values without a time of their own that come in one burst each need an instant, or all but one would be lost. */
  const receiveTime = (receivedAt: EpochMs): EpochMs => {
    const burst = lastReceiveT >= receivedAt && lastReceiveT - receivedAt < minuteMs;
    lastReceiveT = burst ? lastReceiveT + 1 : receivedAt;
    return lastReceiveT;
  };

  return {
    channel: id,
    read(sent, sensorT, receivedAt, retained) {
      const raw = toSi(sent, unit, quantity, onAboveW);
      if (isTemperature && isReadFailure(raw)) return undefined;

      let quality: Quality = 'good';
      let t = sensorT;
      if (Number.isNaN(sensorT)) {
        t = receiveTime(receivedAt);
        // Kept by the broker since nobody knows when, so it says nothing about now.
        if (retained) quality = 'suspect';
      } else if (sensorT > receivedAt + aheadMs || sensorT < firstPlausibleMs) {
        t = receiveTime(receivedAt);
        quality = retained ? 'suspect' : 'clock-skew';
      }

      let value = toSi(correct(sent, t), unit, quantity, onAboveW);
      if (isShare && value > high && value <= high + overshoot) value = high;
      if (isShare && value < low && value >= low - overshoot) value = low;
      if (!(value >= low && value <= high)) quality = 'out-of-range';
      return { channel: id, t: Math.round(t), value, raw, quality, retained, receivedAt };
    },
  };
}

// Fahrenheit comes out a rounding error beside 85; a part's own step is 0.0625.
const isReadFailure = (rawC: number): boolean =>
  Math.abs(rawC - readFailuresC[0]) < 1e-9 || Math.abs(rawC - readFailuresC[1]) < 1e-9;
