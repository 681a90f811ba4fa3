import type { Inoculation } from '../bags.ts';

/** Kernels in a cm³ of hydrated wheat. Assumed. */
const kernelsPerCm3 = 12;
/** Share of the spawn's kernels that start growth of their own when poured and mixed. Assumed. */
const pouredMixing = 0.1;
/** Share of the colonized kernels that a shake turns into new points. Assumed. */
const shakenMixing = 0.25;
/** Points that a mL of grown-out liquid culture makes once it has run through the grain. Assumed. */
const pointsPerMl = 20;

/** Share of a bag's grain that was poured in colonized, 0-1. */
export const spawnShareOf = (how: Inoculation): number =>
  how.way === 'grain-to-grain' ? 1 / (1 + how.partsPerSpawn) : 0;

/**
 * Points per cm³ of grain from which growth starts, before any learning.
 * @param volumeL volume of the container's filling [L], above zero
 */
export function pointsPerCm3(how: Inoculation, volumeL: number): number {
  const volumeCm3 = volumeL * 1000;
  switch (how.way) {
    case 'grain-to-grain':
      return kernelsPerCm3 * spawnShareOf(how) * pouredMixing;
    case 'agar-wedges':
      return how.pieces / volumeCm3;
    case 'liquid-culture':
      return (pointsPerMl * how.volumeMl) / volumeCm3;
  }
}

/**
 * Points per cm³ after a shake: the colonized kernels are spread through the bag.
 * @param share colonized when shaken, 0-1
 */
export const pointsAfterShake = (share: number): number => kernelsPerCm3 * share * shakenMixing;

/**
 * Evenness k of the points over the bag (shape of the gamma distribution of their density). Few points lie
 * unevenly by chance and for the walls: 10 to 20 wedges that a hand spreads behave like 2.7 to 5, hundreds of
 * points quite at random like 4 (tests/reference/lattice.test.ts). A shake moves kernels by no more than a hand's
 * breadth: what lay bare lies among others that do, more so where much had grown already. Assumed.
 */
export const evennessOf: Record<Inoculation['way'], number> = {
  'agar-wedges': 4,
  'liquid-culture': 3,
  'grain-to-grain': 4,
};
export const evennessAfterShake = 2.5;

/**
 * Part of a species' lag that is left when spawn that grows on grain already is mixed into fresh grain: it leaps
 * off in a day or two where a culture from agar or broth takes its time to adapt. Common practice, no source;
 * with it a fast reishi fills in the 5 to 6 days that the trade sees.
 */
export const lagPartOf: Record<Inoculation['way'], number> = {
  'agar-wedges': 1,
  'liquid-culture': 1,
  'grain-to-grain': 0.8,
};

/** Radius of an agar wedge [mm]: it need not grow from a point. Assumed. */
const wedgeRadiusMm = 4;

/** Days at the optimum by which growth is ahead of that from points. */
export const headStartDays = (how: Inoculation, rateMmPerDay: number): number =>
  how.way === 'agar-wedges' ? wedgeRadiusMm / rateMmPerDay : 0;
