import { clamp, inRange } from '../stats/range.ts';
import type { Thermal } from './container.ts';
import { type Film, filmFactorRange, filmWPerM2K, freeFilm } from './film.ts';
import { type LoadModes, loadModes } from './load-modes.ts';

export interface LoadSpec {
  thermal: Pick<Thermal, 'axes' | 'alphaM2PerS' | 'conductivityWPerMK' | 'cpJPerKgK' | 'massKg'>;
  /** Containers that leave the vessel together, 1 to `largestCount`. */
  count: number;
  /** Of one temperature throughout at first [°C], -20 to 130. */
  startC: number;
  /** Air that it is expected to meet [°C], for the film about which the modes are made; 22 unless given. */
  airC?: number;
  /** Film against one container standing free, `filmFactorRange`; 1 unless given, see `cartFilm`. */
  filmFactor?: number;
  /** Film of a container standing free where it is not free convection and radiation, such as a measured one. */
  film?: Film;
  /** Heat capacity against that computed from mass and moisture, 0.5 to 2; 1 unless given. */
  heatFactor?: number;
  /** Conductivity against that computed from moisture, 0.4 to 2.5; 1 unless given. */
  conductionFactor?: number;
}

/** A cart holds some hundreds; more than this in one unload is a slip of the finger. */
export const largestCount = 1000;

/**
 * A hot load in air that changes as it likes. The film is that of the temperatures there are, through an
 * effective air: modes made at one film coefficient h0 feel h (Ts - Ta) when they are given
 * Ta + (1 - h / h0) (Ts - Ta), exactly in one direction, with the mean surface for each face in a container.
 * Latent heat of wet surfaces is left out; `wetSurfaceShare` bounds it.
 */
export interface Load {
  /** Moves on by a step with this air [°C, constant]; returns heat given to the air, mean over the step [W]. */
  step(airC: number, dtS: number): number;
  /** Heat that the next step, longer than nothing, would give for an air [W], without taking it: cheap for many airs. */
  heatFor(airC: number, dtS: number): number;
  /** Part of the heat that now goes past the air to the walls as radiation, 0 to 1. */
  radiantShare(airC: number): number;
  /** Slowest point, mean over the volume, and middle of the nearest face [°C]. */
  coreC(): number;
  meanC(): number;
  surfaceC(): number;
  /** Mean over all faces, by which it sheds its heat [°C]. */
  skinC(): number;
  clone(): Load;
}

/** The film is taken as constant over a stretch; longer steps are taken in parts [s]. */
const longestStretchS = 300;

/** All of a step that does not hang on how warm the load is: thousands are asked for. */
interface Stretch {
  dtS: number;
  /** Part of each mode's distance from the air that goes, and what all of the load gives by it. */
  goes: Float64Array;
  gives: Float64Array;
  givesInAll: number;
  /** What each mode has of the mean surface meanwhile, and all together. */
  skin: Float64Array;
  skinMeanwhile: number;
}

/**
 * What was asked last of a load as it stands: its skin; a step, with the load's own part of the skin meanwhile and of
 * what it gives; and an air, with the effective one.
 */
interface Asked {
  skinC: number;
  of: Stretch | undefined;
  skinPartC: number;
  givesC: number;
  airC: number;
  effectiveC: number;
  /** By how much that is warmer than the air: as much as in the step before, nearly. */
  overK: number;
}

function stretchOf({ perS, skin, mean }: LoadModes, slower: number, dtS: number): Stretch {
  const goes = perS.map((rate) => 1 - Math.exp((-rate * dtS) / slower));
  const meanwhile = perS.map((rate, index) => (goes[index]! * slower) / (rate * dtS));
  const gives = mean.map((part, index) => part * goes[index]!);
  return {
    ...{ dtS, goes, gives },
    givesInAll: gives.reduce((sum, part) => sum + part, 0),
    skin: skin.map((part, index) => part * meanwhile[index]!),
    skinMeanwhile: weighed(skin, meanwhile),
  };
}

function weighed(weights: Float64Array, values: Float64Array): number {
  let sum = 0;
  for (let index = 0; index < weights.length; index++) sum += weights[index]! * values[index]!;
  return sum;
}

/** Modes once found for a container, by film coefficient: many loads of one container are asked about. */
const found = new WeakMap<object, Map<number, LoadModes>>();

/** Containers of which conductivity is another, by tenths of its log: draws of a fit share their modes. */
const conducting = new WeakMap<object, Map<number, LoadSpec['thermal']>>();

function conductedBy(thermal: LoadSpec['thermal'], factor: number): LoadSpec['thermal'] {
  const tenth = Math.round(20 * Math.log(factor));
  if (tenth === 0) return thermal;
  const ofThis = conducting.get(thermal) ?? new Map<number, LoadSpec['thermal']>();
  conducting.set(thermal, ofThis);
  const known = ofThis.get(tenth);
  if (known !== undefined) return known;
  const times = Math.exp(tenth / 20);
  const made = {
    ...thermal,
    alphaM2PerS: thermal.alphaM2PerS * times,
    conductivityWPerMK: thermal.conductivityWPerMK * times,
  };
  ofThis.set(tenth, made);
  return made;
}

/** Modes within a tenth of a film coefficient: the effective air makes up for the rest. */
function modesNear(
  thermal: LoadSpec['thermal'],
  hWPerM2K: number,
): { madeAtWPerM2K: number; modes: LoadModes } {
  const madeAtWPerM2K = Math.exp(Math.round(5 * Math.log(hWPerM2K)) / 5);
  const ofThis = found.get(thermal) ?? new Map<number, LoadModes>();
  const modes = ofThis.get(madeAtWPerM2K) ?? loadModes(thermal, madeAtWPerM2K);
  ofThis.set(madeAtWPerM2K, modes);
  found.set(thermal, ofThis);
  return { madeAtWPerM2K, modes };
}

/** @throws AppError 'out-of-range' that names what is too small or too large. */
export function createLoad(spec: LoadSpec): Load {
  const { startC, airC = 22, heatFactor = 1, conductionFactor = 1 } = spec;
  const count = inRange('number of containers', spec.count, 1, largestCount);
  inRange('start temperature', startC, -20, 130, 'degC');
  inRange('factor on the heat capacity', heatFactor, 0.5, 2);
  inRange('factor on the conductivity', conductionFactor, 0.4, 2.5);
  const thermal = conductedBy(spec.thermal, conductionFactor);
  const heightM = 2 * thermal.axes[thermal.axes.length - 1]!.lengthM;
  const film = spec.film ?? freeFilm(heightM);
  const { low, high } = filmFactorRange;
  const filmFactor = inRange('factor on the film coefficient', spec.filmFactor ?? 1, low, high);
  const shedWPerM2K = (surfaceC: number, airNowC: number): number =>
    filmFactor * filmWPerM2K(film, surfaceC, airNowC);
  // About where the surface is while most of the heat leaves.
  const { madeAtWPerM2K, modes } = modesNear(thermal, shedWPerM2K(airC + (startC - airC) / 4, airC));
  const heatJPerK = count * thermal.massKg * thermal.cpJPerKgK * heatFactor;

  let last: Stretch | undefined;
  const stretchFor = (dtS: number): Stretch => {
    if (last?.dtS !== dtS) last = stretchOf(modes, heatFactor, dtS);
    return last;
  };

  /**
   * Air to give the modes for the film as it is: solved for the film of the round before, which settles fast, the
   * faster the nearer it begins.
   */
  const effectiveAirC = (
    airNowC: number,
    skinPartC: number,
    skinMeanwhile: number,
    beginC: number,
  ): number => {
    let effectiveC = beginC;
    for (let round = 0; round < 6; round++) {
      const skinC = skinPartC + (1 - skinMeanwhile) * effectiveC;
      const missing = 1 - shedWPerM2K(skinC, airNowC) / madeAtWPerM2K;
      const nextC = ((1 - missing) * airNowC + missing * skinPartC) / (1 - missing * (1 - skinMeanwhile));
      if (Math.abs(nextC - effectiveC) < 1e-3) return nextC;
      effectiveC = nextC;
    }
    return effectiveC;
  };

  /** Modes [°C], and the coldest and warmest that load and air have been: no part of it leaves these. */
  const from = (modeC: Float64Array, metLowC: number, metHighC: number, overK: number): Load => {
    // In objects, numbers change without one more being made for each.
    const met = { lowC: metLowC, highC: metHighC };
    const kept = (tempC: number): number => clamp(tempC, met.lowC, met.highC);
    // Who asks what a step would give takes it next.
    const asked: Asked = {
      ...{ skinC: weighed(modes.skin, modeC), of: undefined, skinPartC: Number.NaN, givesC: Number.NaN },
      ...{ airC: Number.NaN, effectiveC: Number.NaN, overK },
    };
    const skinC = (): number => {
      if (Number.isNaN(asked.skinC)) asked.skinC = weighed(modes.skin, modeC);
      return asked.skinC;
    };
    const ask = (known: Stretch, airNowC: number): void => {
      if (asked.of !== known) {
        const { skin, gives } = known;
        let [skinPartC, givesC] = [0, 0];
        for (let index = 0; index < modeC.length; index++) {
          skinPartC += skin[index]! * modeC[index]!;
          givesC += gives[index]! * modeC[index]!;
        }
        asked.of = known;
        asked.skinPartC = skinPartC;
        asked.givesC = givesC;
      } else if (asked.airC === airNowC) return;
      asked.effectiveC = effectiveAirC(airNowC, asked.skinPartC, known.skinMeanwhile, airNowC + asked.overK);
      asked.airC = airNowC;
      asked.overK = asked.effectiveC - airNowC;
    };
    /** Heat of the step asked about [J]. */
    const givenJ = (known: Stretch): number =>
      (asked.givesC - known.givesInAll * asked.effectiveC) * heatJPerK;
    const stretch = (airNowC: number, dtS: number): number => {
      const known = stretchFor(dtS);
      ask(known, airNowC);
      const { goes } = known;
      const towardsC = asked.effectiveC;
      for (let index = 0; index < modeC.length; index++)
        modeC[index]! -= (modeC[index]! - towardsC) * goes[index]!;
      asked.of = undefined;
      asked.skinC = Number.NaN;
      met.lowC = Math.min(met.lowC, airNowC);
      met.highC = Math.max(met.highC, airNowC);
      return givenJ(known);
    };
    const load: Load = {
      step(airNowC, dtS) {
        if (!(dtS > 0)) return 0;
        const parts = Math.ceil(dtS / longestStretchS);
        let sumJ = 0;
        for (let part = 0; part < parts; part++) sumJ += stretch(airNowC, dtS / parts);
        return sumJ / dtS;
      },
      heatFor(airNowC, dtS) {
        if (dtS > longestStretchS) return load.clone().step(airNowC, dtS);
        const known = stretchFor(dtS);
        ask(known, airNowC);
        return givenJ(known) / dtS;
      },
      radiantShare(airNowC) {
        const radiation = film.radiation(skinC(), airNowC);
        return radiation / (radiation + film.convection(skinC(), airNowC));
      },
      coreC: () => kept(weighed(modes.centre, modeC)),
      meanC: () => weighed(modes.mean, modeC),
      surfaceC: () => kept(weighed(modes.face, modeC)),
      skinC: () => kept(skinC()),
      clone: () => from(modeC.slice(), met.lowC, met.highC, asked.overK),
    };
    return load;
  };
  return from(new Float64Array(modes.perS.length).fill(startC), startC, startC, 0);
}
