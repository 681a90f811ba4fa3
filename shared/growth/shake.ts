import { coverageFor, radiusForMm, readyShare } from './overlap.ts';
import { pointsAfterShake } from './points.ts';

/** Shares between which a shake is worth it; it closes earlier where it no longer gains a day. Common practice. */
export const shakeOpensAt = 0.2;
export const shakeBestAt = 0.3;
/** Days that a shake must gain to be worth the work. Common practice. */
export const shakeWorthDays = 1;
/** Days at the optimum that torn mycelium needs before it grows again. Assumed. */
export const shakeRecoveryDays = 0.6;

/** One stretch of growth between shakes; times are thermal days since inoculation. */
export interface Spell {
  /** When the spheres begin to grow. */
  startsAt: number;
  pointsPerCm3: number;
  evenness: number;
  /** Share colonized before it. */
  startShare: number;
}

/** Thermal time at which a spell reaches a share; Infinity if it never can. */
export function reaches(spell: Spell, share: number, rateMmPerDay: number): number {
  const covered = coverageFor(share, spell.evenness, spell.startShare);
  if (covered === 0) return spell.startsAt;
  return spell.startsAt + radiusForMm(spell.pointsPerCm3, covered) / rateMmPerDay;
}

export interface Shaking {
  recoveryDays: number;
  evenness: number;
  /** Factor on the points that a shake makes. */
  pointsFactor: number;
}

/** The spell that a shake begins. Below a share of 0.1 % there is nothing to spread: at least that counts. */
export function shakenSpell(at: number, share: number, how: Shaking): Spell {
  return {
    startsAt: at + how.recoveryDays,
    pointsPerCm3: pointsAfterShake(Math.max(share, 1e-3)) * how.pointsFactor,
    evenness: how.evenness,
    startShare: share,
  };
}

/**
 * Thermal days by which a shake brings ready forward: both futures are run. Negative where it costs time.
 * @param at thermal time of the shake
 * @param share colonized then
 */
export function shakeGain(
  spell: Spell,
  at: number,
  share: number,
  how: Shaking,
  rateMmPerDay: number,
): number {
  const untouched = reaches(spell, readyShare, rateMmPerDay);
  return untouched - reaches(shakenSpell(at, share, how), readyShare, rateMmPerDay);
}
