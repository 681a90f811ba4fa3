import { z } from 'zod';

const positive = z.number().positive();

/** What a room is to heat. SI; what each is worth is said in words by `roomWords`. */
export const roomParams = z.strictObject({
  /** Air and light things that follow it within minutes [J/K]. */
  airJPerK: positive,
  /** Walls, floor, racks and what stands on them [J/K]. */
  structureJPerK: positive,
  airToStructureWPerK: positive,
  structureToOutsideWPerK: positive,
  /** Air that changes places with outside [W/K]. */
  leakWPerK: positive,
  /** Fans, pumps, a warm neighbour, at all hours [W]. */
  gainW: positive,
  /** Part of those that comes through walls and warm housings, not straight into the air; 0 to 1. */
  gainInWalls: positive,
  /** Lamps and people in working hours, on top [W]. */
  workGainW: positive,
  /** Capacity of the cooler at 25 °C outside [W]. */
  coolingW: positive,
  heatingW: positive,
  /** Mean air from which the cooler runs, and below which the heater does [°C]. */
  coolAboveC: z.number(),
  heatBelowC: z.number(),
  /** Over so many kelvins it goes from nothing to all [K]. */
  bandK: positive,
  /**
   * Film coefficient of containers on a cart over that of the same container standing free: they shade each
   * other and hold warm air between them.
   */
  filmFactor: positive,
  /** Heat that containers hold over that computed from mass and moisture. */
  heatFactor: positive,
  /** Conductivity in containers over that computed from moisture: a recipe, how it is packed. */
  conductionFactor: positive,
  /** Radiation from a hot load to walls and racks over that of a container standing free, as a part of its heat. */
  radiantFactor: positive,
});
export type RoomParams = z.infer<typeof roomParams>;
export type RoomParam = keyof RoomParams;

/** The parameters in the order of every mean and covariance. */
export const roomParamNames = Object.keys(roomParams.shape) as RoomParam[];

/** Temperatures are what they are; all others count by their logs, so that none can turn negative. */
const plain: ReadonlySet<RoomParam> = new Set(['coolAboveC', 'heatBelowC']);
const isPlain = (name: RoomParam): boolean => plain.has(name);

/** Bounds that no room passes (assumed): what a draw or a fit is kept within. Per room, not per floor area. */
const roomBounds: Readonly<Record<RoomParam, { low: number; high: number }>> = {
  airJPerK: { low: 5e3, high: 2e7 },
  structureJPerK: { low: 5e4, high: 1e9 },
  airToStructureWPerK: { low: 5, high: 5e4 },
  structureToOutsideWPerK: { low: 0.5, high: 1e4 },
  leakWPerK: { low: 0.1, high: 5e3 },
  gainW: { low: 1, high: 1e5 },
  gainInWalls: { low: 0.02, high: 0.98 },
  workGainW: { low: 0.5, high: 1e5 },
  coolingW: { low: 1, high: 5e5 },
  heatingW: { low: 1, high: 5e5 },
  coolAboveC: { low: -10, high: 60 },
  heatBelowC: { low: -20, high: 58 },
  bandK: { low: 0.1, high: 3 },
  filmFactor: { low: 0.15, high: 4 },
  heatFactor: { low: 0.6, high: 1.6 },
  conductionFactor: { low: 0.5, high: 2 },
  radiantFactor: { low: 0.05, high: 3 },
};

/** Parameters as the numbers that are normal together: temperatures, and logs of the rest. */
export const toVector = (params: RoomParams): number[] =>
  roomParamNames.map((name) => (isPlain(name) ? params[name] : Math.log(params[name])));

/** The way back, kept within bounds; the heater never begins above the cooler. */
export function fromVector(vector: ArrayLike<number>): RoomParams {
  const params = {} as RoomParams;
  roomParamNames.forEach((name, index) => {
    const value = isPlain(name) ? vector[index]! : Math.exp(vector[index]!);
    const { low, high } = roomBounds[name];
    params[name] = Math.min(high, Math.max(low, value));
  });
  params.heatBelowC = Math.min(params.heatBelowC, params.coolAboveC - 0.2);
  return params;
}
