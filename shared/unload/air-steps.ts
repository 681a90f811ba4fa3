import { AppError } from '../errors.ts';
import { type EpochMs, minuteMs } from '../time.ts';

/** Air at an instant [°C]. */
export interface AirPoint {
  t: EpochMs;
  tempC: number;
}

/** A stretch of constant air. */
export interface AirStep {
  until: EpochMs;
  airC: number;
  dtS: number;
}

/** The first while of a load runs in steps of a minute, the rest in steps of five. */
const fineMs = 40 * minuteMs;
const fineStepMs = minuteMs;
const stepMs = 5 * minuteMs;

/** Air at an instant, straight between readings; before the first and after the last, those [°C]. */
export function airAt(air: readonly AirPoint[], t: EpochMs): number {
  let [low, high] = [0, air.length - 1];
  if (t <= air[0]!.t) return air[0]!.tempC;
  if (t >= air[high]!.t) return air[high]!.tempC;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (air[middle]!.t <= t) low = middle;
    else high = middle;
  }
  const [a, b] = [air[low]!, air[high]!];
  return a.tempC + ((t - a.t) / (b.t - a.t)) * (b.tempC - a.tempC);
}

/**
 * Air from one instant to another in steps that also end at each of `stops`.
 * @param air oldest first
 * @throws AppError 'bad-request' without any reading of air
 */
export function airSteps(
  air: readonly AirPoint[],
  from: EpochMs,
  until: EpochMs,
  stops: readonly EpochMs[] = [],
): AirStep[] {
  if (air.length === 0)
    throw new AppError(
      'bad-request',
      'a load cannot be followed without one temperature of its air; give the room a sensor or a value by hand',
    );
  const ends = [...stops.filter((t) => t > from && t < until), until].sort((a, b) => a - b);
  const steps: AirStep[] = [];
  let t = from;
  for (const end of ends)
    while (t < end) {
      const next = Math.min(end, t + (t - from < fineMs ? fineStepMs : stepMs));
      steps.push({ until: next, airC: airAt(air, (t + next) / 2), dtS: (next - t) / 1000 });
      t = next;
    }
  return steps;
}
