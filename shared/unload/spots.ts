import type { EpochMs } from '../time.ts';
import { type AirPoint, airAt } from './air-steps.ts';

/** A probe or an infrared thermometer held to a load. */
export interface Spot {
  t: EpochMs;
  tempC: number;
  where: 'core' | 'surface';
  /** The probe's channel or who measured; readings of one source are read as one curve. */
  source: string;
}

/** A reading that does not count, and why, in a sentence. */
export interface SetAside {
  spot: Spot;
  why: string;
}

/** Where a reading can lie at all, whatever the film and the start may be [°C]. */
export interface Possible {
  lowC: number;
  highC: number;
}

/** Readings may lie this far beyond what the widest guesses allow [K]: placement and the sensor's own error. */
const marginK = 4;
/** Nearer to the air than this, a reading is of the air [K]. */
const airK = 2;

/**
 * Tells readings of this load from those of a probe that has fallen out or stands in another bag. A reading of
 * the room's air while no container of the load can be so cold, and all later ones of that source, are of a
 * probe that came out; one far from anything possible is of something else.
 * @param spots oldest first; `possible` in the same order
 */
export function sortSpots(
  spots: readonly Spot[],
  possible: readonly Possible[],
  air: readonly AirPoint[],
): { kept: Spot[]; aside: SetAside[] } {
  const kept: Spot[] = [];
  const aside: SetAside[] = [];
  const out = new Set<string>();
  spots.forEach((spot, index) => {
    const { lowC, highC } = possible[index]!;
    const airC = airAt(air, spot.t);
    const degrees = (tempC: number): string => `${tempC.toFixed(0)} °C`;
    const nearAir = Math.abs(spot.tempC - airC) < airK;
    const impossible = spot.tempC < lowC - marginK || spot.tempC > highC + marginK;
    if (nearAir && lowC > airC + airK + marginK) {
      out.add(spot.source);
      aside.push({
        spot,
        why: `It reads the room's air, ${degrees(airC)}: the probe has come out of the load.`,
      });
    } else if (out.has(spot.source) && nearAir) {
      aside.push({ spot, why: 'The probe had come out of the load before and still reads the air.' });
    } else if (impossible) {
      const part = spot.where === 'core' ? 'core' : 'surface';
      const between = `between ${degrees(lowC)} and ${degrees(highC)}`;
      aside.push({
        spot,
        why: `It reads ${degrees(spot.tempC)} where a ${part} of this load can only be ${between}: another bag, or a wrong place.`,
      });
    } else {
      out.delete(spot.source);
      kept.push(spot);
    }
  });
  return { kept, aside };
}
