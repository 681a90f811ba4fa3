import { Temporal } from 'temporal-polyfill';
import type { Calibration } from '../../shared/farm/schema.ts';
import type { EpochMs } from '../../shared/time.ts';

/** value -> value, both in the unit that the sensor sends. */
export type Correct = (sent: number, t: EpochMs) => number;

interface Step {
  from: EpochMs;
  slope: number;
  offset: number;
}

/**
 * Correction of a channel by its dated calibrations, each in force from midnight of its day in the site's
 * zone until the next one. Before the first one values stand as sent. Two points span a straight line;
 * two points with the same sent value have no slope, so only their offset is used.
 */
export function compileCalibration(calibrations: readonly Calibration[], timeZone: string): Correct {
  const steps = calibrations
    .map((calibration) => stepOf(calibration, timeZone))
    .sort((one, other) => one.from - other.from);
  if (steps.length === 0) return (sent) => sent;
  return (sent, t) => {
    for (let at = steps.length - 1; at >= 0; at--) {
      const step = steps[at] as Step;
      if (t >= step.from) return sent * step.slope + step.offset;
    }
    return sent;
  };
}

function stepOf(calibration: Calibration, timeZone: string): Step {
  const from = Temporal.PlainDate.from(calibration.from).toZonedDateTime(timeZone).epochMilliseconds;
  if ('offset' in calibration) return { from, slope: 1, offset: calibration.offset };
  const [[sentLow, trueLow], [sentHigh, trueHigh]] = calibration.points;
  const slope = sentHigh === sentLow ? 1 : (trueHigh - trueLow) / (sentHigh - sentLow);
  return { from, slope, offset: trueLow - slope * sentLow };
}
