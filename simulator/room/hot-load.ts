import type { Container } from '../../shared/farm/schema.ts';
import { createHeatGrid } from '../bag/heat-grid.ts';
import type { Random } from '../random.ts';

/** Carts as a farm packs them: how much of a free film its containers have, those outside and those within. */
export interface CartTruth {
  /** Part of the containers that stand outermost, 0-1. */
  outerShare: number;
  outerFilm: number;
  innerFilm: number;
}

/** A hot load that stands in a room; plain data. */
export interface HotLoadState {
  id: string;
  room: string;
  container: string;
  /** Containers in each group, outer first, and the film of each against a free one. */
  groups: { count: number; film: number; tempsC: number[] }[];
  conductivityWPerMK: number;
  cpJPerKgK: number;
  /** Sensor whose probe stands in the middle of it. */
  probe?: string | null;
}

export interface HotLoad {
  readonly state: HotLoadState;
  /** One step in this air, before walls of this temperature; returns heat to each [W]. */
  step(airC: number, wallC: number, stepS: number): { airW: number; wallW: number };
  /** Core and skin of the containers within, which are ready last [°C]. */
  coreC(): number;
  skinC(): number;
}

/** A farm's way of packing carts. Assumed, and drawn more widely than the planner believes. */
export const drawCart = (random: Random): CartTruth => {
  const film = random.between(0.4, 0.85);
  return {
    outerShare: random.between(0.3, 0.6),
    outerFilm: film * random.between(1.05, 1.3),
    innerFilm: film * random.between(0.85, 1),
  };
};

/** Containers as they come out of the vessel: one temperature throughout, packed as carts are here, more or less. */
export function freshLoad(
  make: { id: string; room: string; container: Container; count: number; startC: number },
  cart: CartTruth,
  /** For what all loads of this container have in common, such as its recipe, and for this one alone. */
  ofKind: Random,
  random: Random,
): HotLoadState {
  const { id, room, container, count, startC } = make;
  const packing = random.logNormal(1, 0.07);
  const outer = Math.round(count * cart.outerShare);
  const { moisture, massKg } = container;
  const cpJPerKgK =
    (1_500 * (1 - moisture) + 4_180 * moisture) * ofKind.logNormal(1, 0.04) * random.logNormal(1, 0.02);
  // Of moist foods and grain, about 1.4e-7 m2/s (from memory); conductivity follows from it.
  const diffusivityM2PerS = ofKind.logNormal(1.4e-7, 0.15) * random.logNormal(1, 0.04);
  const conductivityWPerMK = (diffusivityM2PerS * cpJPerKgK * massKg * 1000) / container.volumeL;
  const { cells } = createHeatGrid(container, conductivityWPerMK, cpJPerKgK);
  const group = (many: number, film: number) => ({
    count: many,
    film: film * packing,
    tempsC: Array.from({ length: cells }, () => startC),
  });
  return {
    ...{ id, room, container: container.id, conductivityWPerMK, cpJPerKgK },
    groups: [group(outer, cart.outerFilm), group(count - outer, cart.innerFilm)].filter((g) => g.count > 0),
  };
}

const stefanBoltzmann = 5.67e-8;
/** Of plastic film, glass and paper, about (from memory). */
const emissivity = 0.92;
const kelvin = (tempC: number) => tempC + 273.15;

/** Free convection in room air, turbulent form: 1.31 dT^(1/3) (ASHRAE Fundamentals, from memory); a draught at least. */
const convection = (differenceK: number) => Math.max(1.5, 1.31 * Math.cbrt(Math.abs(differenceK)));
const radiation = (skinC: number, wallC: number) =>
  emissivity * stefanBoltzmann * (kelvin(skinC) ** 2 + kelvin(wallC) ** 2) * (kelvin(skinC) + kelvin(wallC));

export function createHotLoad(state: HotLoadState, container: Container): HotLoad {
  const grid = createHeatGrid(container, state.conductivityWPerMK, state.cpJPerKgK);
  const within = state.groups.at(-1)!;
  // Put away by a version that cut containers otherwise: it goes on from about the same heat.
  for (const group of state.groups)
    if (group.tempsC.length !== grid.cells) {
      const meanC = group.tempsC.reduce((sum, tempC) => sum + tempC, 0) / group.tempsC.length;
      group.tempsC = Array.from({ length: grid.cells }, () => meanC);
    }
  return {
    state,
    step(airC, wallC, stepS) {
      let airW = 0;
      let wallW = 0;
      for (const { count, film, tempsC } of state.groups) {
        const skinC = grid.skinC(tempsC);
        const gave = grid.step(
          tempsC,
          {
            ...{ airC, wallC },
            convectiveWPerM2K: film * convection(skinC - airC),
            radiantWPerM2K: film * radiation(skinC, wallC),
          },
          stepS,
        );
        airW += count * gave.airW;
        wallW += count * gave.wallW;
      }
      return { airW, wallW };
    },
    coreC: () => grid.coreC(within.tempsC),
    skinC: () => grid.skinC(within.tempsC),
  };
}
