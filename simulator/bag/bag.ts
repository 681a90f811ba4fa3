import type { Inoculation } from '../../shared/bags.ts';
import type { Container } from '../../shared/farm/schema.ts';
import { type Arrangement, arrange, arrangeShaken, type Recipe, shareReached } from './arrangement.ts';
import { createConduction, shellCount } from './conduction.ts';
import type { BagTruth, StrainTruth } from './hidden.ts';
import { createResponse, heatLossPerS } from './response.ts';
import { spaceOf } from './space.ts';

/** Everything about a bag that changes; plain data, so that a world can be put away and taken up again. */
export interface BagState {
  recipe: Recipe;
  truth: BagTruth;
  shellTempsC: number[];
  /** Days at the optimum still to wait before the front moves. */
  lagLeftDays: number;
  /** Way of the front since the last shake [mm]. */
  grownMm: number;
  /** Share whose mycelium has thickened behind the front; most heat comes of the thickening. */
  dense: number;
  /** 1 unhurt; less after heat. Multiplies the speed. */
  vigour: number;
  /** What the last shake changed, so that a shake recorded by mistake can be taken back. */
  beforeShake: { grownMm: number; lagLeftDays: number } | null;
}

export interface Bag {
  readonly state: BagState;
  /** One step in air of `airC`; returns the heat given to the air [W]. */
  step(airC: number): number;
  shake(): void;
  takeBackShake(): void;
  /** Colonized share of the whole, 0-1. */
  share(): number;
  /** Colonized share of what shows through the film, 0-1. */
  visibleShare(): number;
  /** Something unwanted shows. */
  spoiltToSee(): boolean;
  contaminated(): boolean;
  coreTempC(): number;
}

/** A bag as poured at `tempC`. */
export const freshBagState = (
  seed: number,
  inoculation: Inoculation,
  truth: BagTruth,
  tempC: number,
): BagState => ({
  recipe: { seed, inoculation, shakenAtMm: [] },
  truth,
  shellTempsC: Array.from({ length: shellCount }, () => tempC),
  lagLeftDays: truth.lagDays,
  grownMm: 0,
  dense: inoculation.way === 'grain-to-grain' ? 1 / (inoculation.partsPerSpawn + 1) : 0,
  vigour: 1,
  beforeShake: null,
});

/** Vigour comes back over about this long after heat. */
const recoveryS = 5 * 86_400;
/** A kernel thickens over about this long once the front has reached it. */
const thickenS = 1.5 * 86_400;

/** Brings a bag's state to life; steps are `stepS` long. The state is changed in place. */
export function createBag(state: BagState, container: Container, strain: StrainTruth, stepS: number): Bag {
  const { truth } = state;
  const space = spaceOf(container);
  const response = createResponse(strain.shape);
  const conduction = createConduction(container, truth.conductivityWPerMK, truth.filmWPerM2K, stepS);
  const thickenLeft = Math.exp(-stepS / thickenS);
  const stepDays = stepS / 86_400;
  // Worked out when it is first asked for: bags that are gone never ask.
  let arrangement: Arrangement | undefined;
  /** Kernels reached so far; the front only goes on, so finding more is a walk along the sorted arrivals. */
  let reached = 0;
  let share = 0;
  const walkOn = (whole: Float32Array) => {
    while (reached < whole.length && whole[reached]! <= state.grownMm) reached += 1;
    share = reached / whole.length;
  };
  const arranged = (): Arrangement => {
    if (arrangement === undefined) {
      arrangement = arrange(space, state.recipe, truth);
      reached = 0;
      walkOn(arrangement.whole);
    }
    return arrangement;
  };

  /** Growth sees the whole bag: the mean of the response over the rings, not the response of a mean. */
  const meanResponse = () => {
    let sum = 0;
    for (let i = 0; i < shellCount; i += 1) sum += conduction.shares[i]! * response(state.shellTempsC[i]!);
    return sum;
  };

  const hurt = () => {
    const loss = heatLossPerS(state.shellTempsC[0]!, strain.shape.maxC, strain.heatLossPerHour) * stepS;
    const healed = ((1 - state.vigour) * stepS) / recoveryS;
    state.vigour = Math.min(1, state.vigour * Math.exp(-loss) + healed);
  };

  return {
    state,
    step(airC) {
      const { whole } = arranged();
      const warmth = meanResponse();
      let days = warmth * state.vigour * stepDays;
      if (state.lagLeftDays > 0) {
        const waited = Math.min(state.lagLeftDays, days);
        state.lagLeftDays -= waited;
        days -= waited;
      }
      if (days > 0) {
        state.grownMm += truth.speedMmPerDay * days * (1 - truth.breathLoss * share);
        walkOn(whole);
      }
      const thickened = (share - state.dense) * (1 - thickenLeft);
      state.dense += thickened;
      const growing = (thickened / stepS) * truth.growHeatJPerKg;
      const keeping = share * truth.keepHeatWPerKg * warmth;
      const toAirW = conduction.step(state.shellTempsC, airC, growing + keeping);
      hurt();
      return toAirW;
    },
    shake() {
      const before = arranged();
      state.beforeShake = { grownMm: state.grownMm, lagLeftDays: state.lagLeftDays };
      state.recipe = { ...state.recipe, shakenAtMm: [...state.recipe.shakenAtMm, state.grownMm] };
      state.grownMm = 0;
      state.lagLeftDays = Math.max(state.lagLeftDays, truth.shakePauseDays);
      arrangement = arrangeShaken(space, before, state.recipe, truth);
      reached = 0;
      walkOn(arrangement.whole);
    },
    takeBackShake() {
      if (state.beforeShake === null) return;
      state.recipe = { ...state.recipe, shakenAtMm: state.recipe.shakenAtMm.slice(0, -1) };
      state.grownMm += state.beforeShake.grownMm;
      state.lagLeftDays = Math.min(state.lagLeftDays, state.beforeShake.lagLeftDays);
      state.beforeShake = null;
      arrangement = undefined;
    },
    share() {
      arranged();
      return share;
    },
    visibleShare: () => shareReached(arranged().visible, state.grownMm),
    spoiltToSee: () => shareReached(arranged().visibleContaminant, state.grownMm) > 0.03,
    contaminated: () => truth.contaminant !== null,
    coreTempC: () => state.shellTempsC[0]!,
  };
}
