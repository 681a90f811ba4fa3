import { normalDraws } from '../../../../shared/stats/normal-draws.ts';
import { hourMs } from '../../../../shared/time.ts';

/** A room made for tests: a day wave plus departures of two time constants. Not the simulator's room. */
export interface TestRoom {
  slowK: number;
  fastK: number;
  slowHours: number;
  fastPerHour: number;
  hours: number;
  seed: number;
}

const firstT = Date.UTC(2024, 2, 4);
/** Seven hours west of Greenwich. */
export const westOffset = (): number => -7 * hourMs;
export const at = (hour: number): number => firstT + hour * hourMs;

/** Usual temperature of the room at an hour since the start [°C]; warmest at 15 o clock local. */
export const usualC = (hour: number): number => 22 + 1.5 * Math.cos((2 * Math.PI * (hour - 7 - 15)) / 24);

/** Hourly temperatures [°C]. */
export function roomHours({ slowK, fastK, slowHours, fastPerHour, hours, seed }: TestRoom): number[] {
  const normal = normalDraws(seed);
  const slowPerHour = Math.exp(-1 / slowHours);
  let slow = slowK * normal();
  let fast = fastK * normal();
  return Array.from({ length: hours }, (_, hour) => {
    slow = slow * slowPerHour + slowK * Math.sqrt(1 - slowPerHour ** 2) * normal();
    fast = fast * fastPerHour + fastK * Math.sqrt(1 - fastPerHour ** 2) * normal();
    return usualC(hour) + slow + fast;
  });
}
