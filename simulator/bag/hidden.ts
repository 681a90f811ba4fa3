import type { Random } from '../random.ts';
import { createRandom, seedOf } from '../random.ts';
import type { ResponseShape } from './response.ts';
import { speciesTruth } from './species-truth.ts';

/** What nobody on the farm knows about one strain. */
export interface StrainTruth {
  shape: ResponseShape;
  speedMmPerDay: number;
  lagDays: number;
  /** Share of vigour lost per hour at the upper growth limit. */
  heatLossPerHour: number;
}

/** What nobody on the farm knows about one bag. */
export interface BagTruth {
  speedMmPerDay: number;
  lagDays: number;
  /** Share of spawn kernels, or of broken colonized kernels, that become growth points. */
  pointShare: number;
  pointsPerMl: number;
  /** 0: everything in clumps, 1: evenly mixed. */
  evenness: number;
  /** How far a shake carries a kernel [mm]. */
  shakeReachMm: number;
  shakePauseDays: number;
  /** Part of the speed lost as the bag fills and breathes less well. */
  breathLoss: number;
  /** Heat of a full colonization [J/kg wet], and of keeping alive once colonized [W/kg wet]. */
  growHeatJPerKg: number;
  keepHeatWPerKg: number;
  conductivityWPerMK: number;
  filmWPerM2K: number;
  /** Null, or what else got in: how fast it is against the strain, and when it starts [mm of the strain's way]. */
  contaminant: { pace: number; delayMm: number } | null;
}

/** Strains of one species differ by about a factor of two in speed and by a kelvin or so in liking. */
export function drawStrain(seed: number, strain: string, species: string, rateFactor: number): StrainTruth {
  const random = createRandom(seedOf(seed, 'strain', strain));
  const base = speciesTruth(species);
  const shift = random.normal(0, 0.9);
  return {
    shape: {
      minC: base.response.minC + random.normal(0, 1),
      maxC: base.response.maxC + shift,
      fallPerK: base.response.fallPerK * random.logNormal(1, 0.15),
    },
    speedMmPerDay: base.speedMmPerDay * rateFactor * random.logNormal(1, 0.22),
    lagDays: base.lagDays * random.logNormal(1, 0.2),
    heatLossPerHour: random.logNormal(0.01, 0.5),
  };
}

/** Chance that something else gets into a bag, by how it was inoculated (assumed). */
const contaminationChance = {
  'grain-to-grain': 0.025,
  'agar-wedges': 0.02,
  'liquid-culture': 0.035,
} as const;

export interface BatchDraw {
  speed: number;
  lag: number;
  points: number;
  evenness: number;
}

/** What all bags of one making share: the plate, the person's hand, the water in the grain. */
export function drawBatch(random: Random): BatchDraw {
  return {
    speed: random.logNormal(1, 0.08),
    lag: random.logNormal(1, 0.15),
    points: random.logNormal(1, 0.35),
    evenness: random.between(0.55, 1),
  };
}

export function drawBag(
  strain: StrainTruth,
  batch: BatchDraw,
  way: keyof typeof contaminationChance,
  /** 1 for a clean parent; far above for spawn from a contaminated one. */
  contaminationFactor: number,
  random: Random,
): BagTruth {
  const contaminated = random.chance(Math.min(0.9, contaminationChance[way] * contaminationFactor));
  return {
    speedMmPerDay: strain.speedMmPerDay * batch.speed * random.logNormal(1, 0.06),
    lagDays: strain.lagDays * batch.lag * random.logNormal(1, 0.1),
    pointShare: Math.min(0.6, 0.16 * batch.points * random.logNormal(1, 0.15)),
    pointsPerMl: 18 * batch.points * random.logNormal(1, 0.2),
    evenness: Math.min(1, Math.max(0.15, batch.evenness + random.normal(0, 0.08))),
    shakeReachMm: random.between(45, 130),
    shakePauseDays: random.logNormal(0.6, 0.35),
    breathLoss: random.between(0, 0.2),
    growHeatJPerKg: random.logNormal(120_000, 0.35),
    keepHeatWPerKg: random.logNormal(0.06, 0.4),
    conductivityWPerMK: random.between(0.22, 0.46),
    filmWPerM2K: random.between(6, 12),
    contaminant: contaminated ? { pace: random.logNormal(1.3, 0.35), delayMm: random.exponential(9) } : null,
  };
}
