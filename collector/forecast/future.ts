import { type DayProfile, expectedAirC, profileErrorK } from '../../shared/air/day-profile.ts';
import { moveDeparture } from '../../shared/air/departure.ts';
import { type EpochMs, hourMs } from '../../shared/time.ts';
import { utc } from './room-track.ts';
import { rowCount, rowEndH, rowLengthH } from './rows.ts';

/** Air to expect at a shelf over the steps ahead. */
export interface Future {
  /** Mean over each step ahead [°C]. */
  tempC: Float64Array;
  /** How far the mean over the next hours may lie off that [K, 1 sd]. */
  sdOver(hours: number): number;
}

/** Hours over which the slow part of a room's departure from its usual day lasts; see `departure.ts`. */
const slowH = 5 * 24;

/** Standard deviation of the mean over `hours` of a first-order process of unit size that begins unknown. */
function meanOverSd(hours: number, lastsH: number): number {
  const times = hours / lastsH;
  if (times < 1e-6) return 1;
  return Math.sqrt((2 / times) * (1 - -Math.expm1(-times) / times));
}

/** The same future elsewhere in the room. */
export const shifted = ({ tempC, sdOver }: Future, offsetK: number): Future => ({
  tempC: tempC.map((one) => one + offsetK),
  sdOver,
});

/**
 * The usual day of a room with what is left of the present departure. How far a whole stretch may lie off is what
 * moves dates: departures of hours cancel, slow ones and an ill-known day do not.
 */
export function futureOf(profile: DayProfile, from: EpochMs): Future {
  const tempC = new Float64Array(rowCount);
  for (let row = 0; row < rowCount; row++) {
    const startH = rowEndH[row]! - rowLengthH[row]!;
    const parts = Math.max(1, rowLengthH[row]! / 6);
    let sum = 0;
    for (let part = 0; part < parts; part++) {
      const middleH = startH + ((part + 0.5) * rowLengthH[row]!) / parts;
      sum += expectedAirC(profile, from + middleH * hourMs, utc);
    }
    tempC[row] = sum / parts;
  }
  const errorK = profileErrorK(profile);
  const { slowSdK, slowVar } = moveDeparture(profile.departure, from);
  return {
    tempC,
    sdOver(hours) {
      // The present slow departure is known but for slowVar; what comes after it is not.
      const known = 1 - Math.min(1, slowVar / slowSdK ** 2);
      const soon = Math.exp(-hours / slowH);
      return Math.hypot(errorK, slowSdK * meanOverSd(hours, slowH) * Math.sqrt(1 - known * soon));
    },
  };
}
