import type { EpochMs } from '../time.ts';
import { type AirPoint, airAt } from './air-steps.ts';
import { doubtOf, type FallBetween, type Heard } from './probe-curve.ts';

/** A probe or an infrared thermometer held to a load. */
export interface Spot {
  t: EpochMs;
  tempC: number;
  where: 'core' | 'surface';
  /** The probe's channel or who measured; readings of one source are read as one curve. */
  source: string;
  /** A probe that is left in it: its curve is judged, too. */
  stays?: boolean;
  /** How fast it rose to this [K/min]; no core of a load rises, so it says whether a probe is still warming up. */
  roseKPerMin?: number;
}

/** A reading that does not count, and why, in a sentence. */
export interface SetAside {
  spot: Spot;
  why: string;
  /** It will soon count: the probe is taking the temperature of the load. */
  settling: boolean;
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

/** A probe that is put in warms up by at least this from one reading to the next [K]. */
const warmingK = 1;
/** While it rises faster it lags by degrees: of 2.5 min, by 1.5 K at the most when it does so no more [K/min]. Assumed. */
const takingKPerMin = 0.5;
const takingWords = 'The probe is still taking the temperature of the load.';

interface Evidence {
  /** Oldest first; `possible` in the same order. */
  spots: readonly Spot[];
  possible: readonly Possible[];
  air: readonly AirPoint[];
  fall: FallBetween;
}

/**
 * Tells readings of this load from those of a probe that has fallen out or stands in another bag. A reading of
 * the room's air while no container of the load can be so cold, and all later ones of that source, are of a
 * probe that came out; one far from anything possible is of something else. Of a probe that stays in it the
 * curve is judged besides, see `doubtOf`.
 */
export function sortSpots({ spots, possible, air, fall }: Evidence): { kept: Spot[]; aside: SetAside[] } {
  const isKept = new Array<boolean>(spots.length).fill(false);
  const whys = new Array<string>(spots.length).fill('');
  const settling = new Set<number>();
  const out = new Set<string>();
  const curves = new Map<string, Heard[]>();

  /** A curve is found to stand still: nothing of it counts since then. */
  const still = (curve: readonly Heard[], since: EpochMs, why: string): void => {
    for (const one of curve)
      if (one.t >= since && one.was === 'kept') {
        one.was = 'still';
        isKept[one.index] = false;
        whys[one.index] = why;
      }
  };

  /** Why a reading does not count; null when it does. */
  const doubted = (spot: Spot, index: number): { why: string; was: 'still' | 'doubted' } | null => {
    const { lowC, highC } = possible[index]!;
    const airC = airAt(air, spot.t);
    const degrees = (tempC: number): string => `${tempC.toFixed(0)} °C`;
    const because = (why: string) => ({ why, was: 'doubted' }) as const;
    const nearAir = Math.abs(spot.tempC - airC) < airK;
    const onSurface = spot.where === 'surface';
    const isOut = out.has(spot.source);
    const curve = spot.stays === true ? (curves.get(spot.source) ?? []) : [];
    if (nearAir && lowC > airC + airK + marginK) {
      if (onSurface)
        return because(
          `It reads the room's air, ${degrees(airC)}, where a surface of this load is ${degrees(lowC)} at least: aim from close by at the side of a middle one.`,
        );
      out.add(spot.source);
      return because(`It reads the room's air, ${degrees(airC)}: the probe has come out of the load.`);
    }
    if (isOut && nearAir && !onSurface)
      return because('The probe had come out of the load before and still reads the air.');
    const doubt = doubtOf({ t: spot.t, tempC: spot.tempC, index }, curve, isOut, fall);
    if (doubt?.is === 'still') {
      still(curve, doubt.since, doubt.why);
      return { why: doubt.why, was: 'still' };
    }
    if (doubt !== null) {
      out.add(spot.source);
      return because(doubt.why);
    }
    if (spot.tempC >= lowC - marginK && spot.tempC <= highC + marginK) return null;
    const last = curve.at(-1);
    // Of a first reading nobody can tell yet.
    const warms = last === undefined ? spot.stays === true : spot.tempC > last.tempC + warmingK;
    if (warms && spot.tempC < lowC) {
      settling.add(index);
      return because(takingWords);
    }
    const between = `between ${degrees(lowC)} and ${degrees(highC)}`;
    return because(
      onSurface
        ? `It reads ${degrees(spot.tempC)} where a surface of this load can only be ${between}: another bag, bare metal or foil, or from too far away.`
        : `It reads ${degrees(spot.tempC)} where a core of this load can only be ${between}: another bag, or a wrong place.`,
    );
  };

  spots.forEach((spot, index) => {
    if ((spot.roseKPerMin ?? 0) > takingKPerMin) {
      whys[index] = takingWords;
      settling.add(index);
      if (spot.tempC > airAt(air, spot.t) + airK) out.delete(spot.source);
      return;
    }
    const doubt = doubted(spot, index);
    isKept[index] = doubt === null;
    if (doubt === null) out.delete(spot.source);
    else whys[index] = doubt.why;
    if (spot.stays !== true) return;
    const heard = { t: spot.t, tempC: spot.tempC, index, was: doubt?.was ?? 'kept' } as const;
    curves.set(spot.source, [...(curves.get(spot.source) ?? []), heard]);
  });
  return {
    kept: spots.filter((_, index) => isKept[index]),
    aside: spots.flatMap((spot, index) =>
      isKept[index] ? [] : [{ spot, why: whys[index]!, settling: settling.has(index) }],
    ),
  };
}
