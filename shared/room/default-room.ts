import { cartFilm } from '../heat/film.ts';
import { inRange } from '../stats/range.ts';
import { type RoomParam, type RoomParams, roomParamNames, toVector } from './params.ts';
import type { RoomFit } from './room-fit.ts';

/** What else may be known of a room before its history is. */
export interface RoomFacts {
  /** Air that the thermostat holds [°C]; 22 unless given. */
  setC?: number;
  /** Mean outside air of the season [°C]; 15 unless given. */
  outsideC?: number;
}

/** Assumed: rooms are about so high [m]. */
const heightM = 2.6;

/** Spread of each parameter about the default, 1 sd of its log (temperatures: K). Assumed. */
const spread: Record<RoomParam, number> = {
  airJPerK: 0.3,
  structureJPerK: 0.7,
  airToStructureWPerK: 0.45,
  structureToOutsideWPerK: 0.6,
  leakWPerK: 0.7,
  gainW: 0.8,
  gainInWalls: 0.6,
  workGainW: 0.8,
  coolingW: 0.6,
  heatingW: 0.6,
  coolAboveC: 2.5,
  heatBelowC: 3,
  bandK: 0.4,
  filmFactor: cartFilm.lnSd,
  heatFactor: 0.08,
  conductionFactor: 0.15,
  radiantFactor: 0.15,
};
/** A nameplate tells the capacity but for age, dust and how air reaches the coil. Assumed. */
const nameplateSpread = 0.2;

/**
 * A room of which only the floor area is known, and the cooler's nameplate where there is one: surfaces from
 * the area and a height of 2.6 m; 8 kJ/(m2 K) of air and light things and 165 kJ/(m2 K) of structure ('medium'
 * of ISO 13790:2008, table 12, from memory); 4 W/(m2 K) from air to surfaces and 0.5 W/(m2 K) through them; half
 * an air change an hour; the rest assumed. The spread is what rooms of one size differ by.
 * @param floorAreaM2 1 to 2,000 @param coolingNameplateW 50 to 500,000
 * @throws AppError 'out-of-range' for others.
 */
export function defaultRoom(floorAreaM2: number, coolingNameplateW?: number, facts: RoomFacts = {}): RoomFit {
  const area = inRange('floor area', floorAreaM2, 1, 2_000, 'm2');
  if (coolingNameplateW !== undefined)
    inRange('cooling on the nameplate', coolingNameplateW, 50, 500_000, 'W');
  const { setC = 22, outsideC = 15 } = facts;
  const surfaceM2 = 2 * area + 4 * Math.sqrt(area) * heightM;
  const mean: RoomParams = {
    airJPerK: 8_000 * area,
    structureJPerK: 165_000 * area,
    airToStructureWPerK: 4 * surfaceM2,
    structureToOutsideWPerK: 0.5 * surfaceM2,
    leakWPerK: (0.5 * area * heightM * 1.2 * 1006) / 3600,
    gainW: 30 * area,
    gainInWalls: 0.45,
    workGainW: 6 * area,
    coolingW: coolingNameplateW ?? 180 * area,
    heatingW: 110 * area,
    coolAboveC: setC,
    heatBelowC: setC - 2,
    bandK: 0.6,
    filmFactor: cartFilm.factor,
    // Between the two published formulas for moist plant material, of which loads are computed by the lower.
    heatFactor: 1.08,
    conductionFactor: 1,
    radiantFactor: 1,
  };
  const sds = roomParamNames.map((name) =>
    name === 'coolingW' && coolingNameplateW !== undefined ? nameplateSpread : spread[name],
  );
  return {
    mean: toVector(mean),
    covariance: sds.flatMap((sd, row) => sds.map((_, column) => (row === column ? sd * sd : 0))),
    residual: { sdK: 0.6, lastsS: 3_600 },
    trainedDays: 0,
    unloads: 0,
    notIdentified: [...roomParamNames],
    outside: {
      from: 'assumed',
      hoursC: Array.from(
        { length: 24 },
        (_, hour) => outsideC + 5 * Math.cos(((hour - 14.5) / 12) * Math.PI),
      ),
      sdK: 4,
    },
    notes: [
      coolingNameplateW === undefined
        ? 'Assumed from the floor area: nothing of this room has been learned yet.'
        : "Assumed from the floor area and the cooler's nameplate: nothing of this room has been learned yet.",
    ],
  };
}
