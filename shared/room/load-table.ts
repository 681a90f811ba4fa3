import { filmFactorRange } from '../heat/film.ts';
import { createLoad } from '../heat/load.ts';
import { clamp } from '../stats/range.ts';
import { minuteMs } from '../time.ts';
import { gridMs, type PastLoad, type RoomGrid } from './history.ts';
import type { RoomParams } from './params.ts';

/**
 * Heat and core of one load in the air that was measured, for several films: what a fit asks for again and
 * again, computed once.
 */
export interface LoadTable {
  /** First grid step in which it stands there. */
  first: number;
  /** Heat in each step, and the part of it that is radiated, by film [W]. */
  heatW: readonly Float64Array[];
  radiantW: readonly Float64Array[];
  /** Mean of its faces in each step, by film [°C]. */
  skinC: readonly Float64Array[];
  /** Change of the heat for each unit of the factor on what containers hold, by film [W]. */
  perHeatW: readonly Float64Array[];
  /** The same for the factor on their conductivity. */
  perConductionW: readonly Float64Array[];
  cores: readonly TableCore[];
}

/** A core that was measured, with what each film would have. */
export interface TableCore {
  /** Grid step. */
  step: number;
  measuredC: number;
  /** Over the air of that step [K]. */
  overAirK: number;
  byFilmC: readonly number[];
  /** Change of the core for each kelvin by which all about it were warmer. */
  perWallK: readonly number[];
  /** Change for each unit of the factor on the heat that containers hold [K]. */
  perHeatK: readonly number[];
  /** And for the factor on their conductivity [K]. */
  perConductionK: readonly number[];
  /** Part of its heat that it radiated till then, about. */
  radiantShare: number;
}

/** Films that are computed, against one container standing free; between them straight in their logs. */
const films = [0.22, 0.4, 0.7, 1.2, 2.1, 3.7] as const;
/** Difference by which the effect of warmer walls is told [K]. */
const warmerK = 3;
/** And that of the heat that containers hold. */
const heavier = 1.15;
/** And of their conductivity. */
const better = Math.exp(0.2);
/** A load is felt for this long [grid steps]: two days. */
const longestSteps = (48 * 60 * minuteMs) / gridMs;

/**
 * Spread over its whole first step, the heat of a load that comes within that step would come too soon by half of what
 * was over: as much of it is given a step later as has it come in time at the mean. Minutes matter, as the air answers
 * within them; a fit that has the heat too soon finds too little of it.
 */
function comesLate(givenW: Float64Array, overPart: number): void {
  if (givenW.length < 2) return;
  const laterW = (overPart / 2) * givenW[0]!;
  givenW[0]! -= laterW;
  givenW[1]! += laterW;
}

export function tableOf(past: PastLoad, grid: RoomGrid): LoadTable | null {
  const begins = (past.at - grid.from) / gridMs;
  const ends = Math.min(
    grid.steps,
    begins + longestSteps,
    past.until === null ? Number.POSITIVE_INFINITY : (past.until - grid.from) / gridMs,
  );
  const first = Math.floor(begins);
  const count = Math.ceil(ends) - first;
  if (first < 0 || count < 1) return null;
  const cores = past.cores.filter(({ t }) => t >= past.at && (t - grid.from) / gridMs <= ends);
  const runOf = (film: number, overK = 0, heatFactor = 1, conductionFactor = 1) => {
    const filmFactor = clamp(film * (past.filmTimes ?? 1), filmFactorRange.low, filmFactorRange.high);
    const load = createLoad({ ...past.load, filmFactor, heatFactor, conductionFactor });
    const heatW = new Float64Array(count);
    const radiantW = new Float64Array(count);
    const coreC = new Float64Array(count);
    const skinC = new Float64Array(count);
    for (let i = 0; i < count; i++) {
      // It comes in within a step: what it gives in the rest of it counts for the whole.
      const share = i === 0 ? 1 - (begins - first) : Math.min(1, ends - first - i);
      const aroundC = grid.airC[first + i]! + overK;
      const fromC = load.skinC();
      heatW[i] = share * load.step(aroundC, (share * gridMs) / 1000);
      skinC[i] = (fromC + load.skinC()) / 2;
      radiantW[i] = load.radiantShare(aroundC) * heatW[i]!;
      coreC[i] = load.coreC();
    }
    for (const given of [heatW, radiantW]) comesLate(given, begins - first);
    return { heatW, radiantW, skinC, coreC };
  };
  const byFilm = films.map((film) => runOf(film));
  const more = films.map((film) => runOf(film, 0, heavier));
  const conducted = films.map((film) => runOf(film, 0, 1, better));
  const warmer = cores.length === 0 ? [] : films.map((film) => runOf(film, warmerK).coreC);
  return {
    first,
    heatW: byFilm.map(({ heatW }) => heatW),
    radiantW: byFilm.map(({ radiantW }) => radiantW),
    skinC: byFilm.map(({ skinC }) => skinC),
    perHeatW: byFilm.map(({ heatW }, k) => heatW.map((w, i) => (more[k]!.heatW[i]! - w) / (heavier - 1))),
    perConductionW: byFilm.map(({ heatW }, k) =>
      heatW.map((w, i) => (conducted[k]!.heatW[i]! - w) / (better - 1)),
    ),
    cores: cores.map(({ t, tempC }) => {
      const at = Math.min(count - 1, Math.max(0, Math.floor((t - grid.from) / gridMs) - first));
      const middle = byFilm[Math.floor(films.length / 2)]!;
      const sum = (values: Float64Array) => values.subarray(0, at + 1).reduce((total, w) => total + w, 0);
      return {
        ...{ step: first + at, measuredC: tempC, overAirK: tempC - grid.airC[first + at]! },
        byFilmC: byFilm.map(({ coreC }) => coreC[at]!),
        perWallK: byFilm.map(({ coreC }, k) => (warmer[k]![at]! - coreC[at]!) / warmerK),
        perHeatK: byFilm.map(({ coreC }, k) => (more[k]!.coreC[at]! - coreC[at]!) / (heavier - 1)),
        perConductionK: byFilm.map(({ coreC }, k) => (conducted[k]!.coreC[at]! - coreC[at]!) / (better - 1)),
        radiantShare: sum(middle.radiantW) / Math.max(1, sum(middle.heatW)),
      };
    }),
  };
}

/** Logs of the films that are computed. */
const lnFilms = films.map(Math.log);

/** Where a film lies among those computed: the first of four about it, and what each of them counts. */
export interface FilmPlace {
  first: number;
  weights: readonly [number, number, number, number];
}

/**
 * A cubic through the films on either side with the slopes that their neighbours give (Catmull and Rom 1974), so that
 * a search finds no corner at a film that happens to be computed.
 */
export function filmPlace(film: number): FilmPlace {
  const last = films.length - 1;
  const value = Math.log(clamp(film, films[0], films[last]!));
  let below = 0;
  while (below < last - 1 && lnFilms[below + 1]! < value) below++;
  const first = clamp(below - 1, 0, last - 3);
  const weights: [number, number, number, number] = [0, 0, 0, 0];
  const [low, high] = [lnFilms[below]!, lnFilms[below + 1]!];
  const part = (value - low) / (high - low);
  const add = (film: number, weight: number) => {
    weights[film - first]! += weight;
  };
  add(below, (1 + 2 * part) * (1 - part) ** 2);
  add(below + 1, part ** 2 * (3 - 2 * part));
  const slope = (at: number, weight: number) => {
    const [a, b] = [Math.max(0, at - 1), Math.min(last, at + 1)];
    const share = (weight * (high - low)) / (lnFilms[b]! - lnFilms[a]!);
    add(a, -share);
    add(b, share);
  };
  slope(below, part * (1 - part) ** 2);
  slope(below + 1, part ** 2 * (part - 1));
  return { first, weights };
}

export function between(rows: ArrayLike<number>, { first, weights }: FilmPlace): number {
  let sum = 0;
  for (let k = 0; k < 4; k++) sum += weights[k]! * rows[first + k]!;
  return sum;
}

/** Heat that a load gives in each of its steps, by these parameters [W], and what tells where it goes (`loadInput`). */
export function givenBy(
  params: RoomParams,
  { heatW, radiantW, skinC, perHeatW, perConductionW }: LoadTable,
): (step: number) => { loadW: number; radiantShare: number; skinC: number } {
  const { first, weights } = filmPlace(params.filmFactor);
  const [a, b, c, d] = weights;
  const at = (rows: readonly Float64Array[], step: number): number =>
    a * rows[first]![step]! +
    b * rows[first + 1]![step]! +
    c * rows[first + 2]![step]! +
    d * rows[first + 3]![step]!;
  const [heavierBy, betterBy] = [params.heatFactor - 1, params.conductionFactor - 1];
  return (step) => {
    const plainW = at(heatW, step);
    const loadW = plainW + heavierBy * at(perHeatW, step) + betterBy * at(perConductionW, step);
    // Between a film at which it still gives and one at which it takes, the quotient means nothing.
    const radiantShare = plainW === 0 ? 0 : clamp(at(radiantW, step) / plainW, 0, 1);
    return { loadW, radiantShare, skinC: at(skinC, step) };
  };
}
