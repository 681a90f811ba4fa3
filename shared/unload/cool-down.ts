import type { Band } from '../forecasts.ts';
import type { Thermal } from '../heat/container.ts';
import { filmFactorRange } from '../heat/film.ts';
import { createLoad, type Load } from '../heat/load.ts';
import { weightedQuantiles } from '../stats/quantiles.ts';
import { clamp, inRange } from '../stats/range.ts';
import { studentTLogDensity } from '../stats/student-t.ts';
import { type EpochMs, hourMs, minuteMs } from '../time.ts';
import { type AirPoint, type AirStep, airAt, airSteps } from './air-steps.ts';
import { guessCount, normalOf, weighGuesses } from './guesses.ts';
import type { LoadBelief } from './load-belief.ts';
import { type SetAside, type Spot, sortSpots } from './spots.ts';
import { openVesselC, type StartTemperature } from './start.ts';

export interface CoolDownRecord {
  thermal: Thermal;
  /** When it left the vessel. */
  from: EpochMs;
  /** Now: everything below is as known at this instant. */
  asOf: EpochMs;
  start: Pick<StartTemperature, 'tempC' | 'sdK'>;
  /** `nextLoad` of what is believed of loads of its kind. */
  belief: Pick<LoadBelief, 'lnFilm' | 'lnHeat'>;
  /** Air that it has stood in, oldest first; at least one. */
  air: readonly AirPoint[];
  /** Readings of it, in any order. */
  spots?: readonly Spot[];
}

/** When a load's core meets a temperature: 10, 50 and 90 % points; null where that is not in sight. */
export interface Ready {
  earliest: EpochMs | null;
  likely: EpochMs | null;
  latest: EpochMs | null;
}

/** A load as its readings have it, and what is ahead of it. */
export interface CoolDown {
  /** Slowest point and middle of the nearest face now [°C], 10, 50 and 90 %. */
  coreC: Band;
  surfaceC: Band;
  /** What the readings make of this load, for `learnLoad`. */
  lnFilm: { mean: number; sd: number };
  lnHeat: { mean: number; sd: number };
  /** Readings that count, and those that do not with why. */
  heard: number;
  aside: SetAside[];
  /** Core since it came in, as the readings have it: a band at the start and about every quarter of an hour [°C]. */
  past: { t: EpochMs; coreC: Band }[];
  /** When its slowest core, or its face, is down to `targetC`, in this air from now on. */
  ready(targetC: number, airAhead: (t: EpochMs) => number, where?: Spot['where']): Ready;
  /** Core ahead [°C], one band every `stepMs` from now on. */
  course(airAhead: (t: EpochMs) => number, hours: number, stepMs?: number): { t: EpochMs; coreC: Band }[];
}

/** Placement of a probe and differences inside a load: an error in part of the distance to the air. Assumed. */
const coreErrorK = (overAirK: number): number => Math.hypot(0.7, 0.03 * overAirK);
/** Emissivity and which spot of which container an infrared thermometer sees. Assumed. */
const surfaceErrorK = (overAirK: number): number => Math.hypot(2, 0.1 * overAirK);
const errorDegrees = 4;
/** Readings of one source closer together than this tell partly the same. Assumed. */
const independentMs = 20 * minuteMs;
/** Containers of one load are ready at times that differ by this part of what is left [1 sd]. Assumed. */
const betweenContainers = 0.05;
/** Spacing of what is told of the past. */
const pastEveryMs = 15 * minuteMs;
/** What is not reached by then is not in sight. */
const inSightMs = 48 * hourMs;
const shares = [0.1, 0.5, 0.9] as const;

const at = (values: Float64Array, guess: number): Float64Array => values.subarray(guess * 4, guess * 4 + 4);

/** What a load would show at each spot's instant [°C]; steps end there. */
function told(load: Load, steps: readonly AirStep[], spots: readonly Spot[]): number[] {
  const temps: number[] = [];
  const show = (until: EpochMs): void => {
    for (let next = spots[temps.length]; next !== undefined && next.t <= until; next = spots[temps.length])
      temps.push(next.where === 'core' ? load.coreC() : load.surfaceC());
  };
  for (const { until, airC, dtS } of steps) {
    show(until - dtS * 1000);
    if (temps.length === spots.length) return temps;
    load.step(airC, dtS);
  }
  show(Number.POSITIVE_INFINITY);
  return temps;
}

/** How much each reading counts: readings of one source that follow close count as a part. */
function shareOfEach(spots: readonly Spot[]): number[] {
  const before = new Map<string, EpochMs>();
  return spots.map(({ t, source, where }) => {
    const key = `${source} ${where}`;
    const gap = t - (before.get(key) ?? Number.NEGATIVE_INFINITY);
    before.set(key, t);
    return Math.min(1, gap / independentMs);
  });
}

/** Milliseconds until a part is down to a temperature; Infinity when that is not in sight. */
function coolsWithin(
  load: Load,
  { targetC, where, from }: { targetC: number; where: Spot['where']; from: EpochMs },
  airAhead: (t: EpochMs) => number,
): number {
  const partC = where === 'core' ? load.coreC : load.surfaceC;
  let beforeC = partC();
  if (beforeC <= targetC) return 0;
  const stepMs = 5 * minuteMs;
  for (let elapsedMs = 0; elapsedMs < inSightMs; elapsedMs += stepMs) {
    load.step(airAhead(from + elapsedMs + stepMs / 2), stepMs / 1000);
    const nowC = partC();
    if (nowC <= targetC) return elapsedMs + (stepMs * (beforeC - targetC)) / (beforeC - nowC);
    beforeC = nowC;
  }
  return Number.POSITIVE_INFINITY;
}

/**
 * Follows a load through its air, with film, heat capacity and start weighed by readings of it. A pure function
 * of the record: ask again when a reading has come. Tens of milliseconds.
 * @throws AppError for a record without air, or a start outside -20 to 130 °C
 */
export function followCoolDown(record: CoolDownRecord): CoolDown {
  const { thermal, from, air, belief, start } = record;
  inRange('start temperature', start.tempC, -20, 130, 'degC');
  const asOf = Math.max(record.asOf, from);
  const spots = [...(record.spots ?? [])]
    .filter(({ t, tempC }) => t >= from && t <= asOf && Number.isFinite(tempC))
    .sort((a, b) => a.t - b.t);
  const stepsTo = (stops: readonly Spot[]): AirStep[] =>
    airSteps(
      air,
      from,
      asOf,
      stops.map(({ t }) => t),
    );
  // The last one is which container of the load it is.
  const prior = [belief.lnFilm, belief.lnHeat, { mean: start.tempC, sd: start.sdK }, { mean: 0, sd: 1 }];
  // Measured hotter than boiling it may be, by a thermometer that reads high; not by more.
  const hottestC = Math.max(openVesselC, start.tempC);
  const loadOf = (guess: Float64Array): Load =>
    createLoad({
      thermal,
      count: 1,
      airC: airAt(air, from),
      startC: Math.min(hottestC, guess[2]!),
      filmFactor: clamp(Math.exp(guess[0]!), filmFactorRange.low, filmFactorRange.high),
      heatFactor: clamp(Math.exp(guess[1]!), 0.5, 2),
    });

  const first = weighGuesses(prior.map(({ mean, sd }) => ({ mean, sd: 1.5 * sd })));
  const every = Array.from({ length: guessCount }, (_, guess) => at(first.values, guess));
  const toEach = stepsTo(spots);
  const seen = spots.length === 0 ? [] : every.map((guess) => told(loadOf(guess), toEach, spots));
  const possible = spots.map((_, index) => {
    const temps = seen.map((one) => one[index]!);
    return { lowC: Math.min(...temps), highC: Math.max(...temps) };
  });
  const fall = (earlier: number, later: number): { leastK: number; mostK: number } => {
    const falls = seen.map((one) => one[earlier]! - one[later]!);
    return { leastK: Math.min(...falls), mostK: Math.max(...falls) };
  };
  const { kept, aside } = sortSpots({ spots, possible, air, fall });

  const steps = stepsTo(kept);
  const weight = shareOfEach(kept);
  const logLikelihood = (guess: Float64Array): number => {
    const foreseen = told(loadOf(guess), steps, kept);
    return kept.reduce((sum, { t, tempC, where }, index) => {
      const overAirK = foreseen[index]! - airAt(air, t);
      const sd = where === 'core' ? coreErrorK(overAirK) : surfaceErrorK(overAirK);
      return sum + weight[index]! * studentTLogDensity(tempC - foreseen[index]!, errorDegrees, 0, sd);
    }, 0);
  };
  const guesses = weighGuesses(prior, kept.length === 0 ? undefined : logLikelihood);
  const isMark = (until: EpochMs, dtS: number): boolean =>
    Math.floor((until - from) / pastEveryMs) > Math.floor((until - 1000 * dtS - from) / pastEveryMs);
  const marks = [from, ...steps.filter(({ until, dtS }) => isMark(until, dtS)).map(({ until }) => until)];
  /** Cores of each guess at the marks [°C]. */
  const wereC: number[][] = [];
  const loads = Array.from({ length: guessCount }, (_, guess) => {
    const load = loadOf(at(guesses.values, guess));
    const cores = [load.coreC()];
    for (const { until, airC, dtS } of steps) {
      load.step(airC, dtS);
      if (isMark(until, dtS)) cores.push(load.coreC());
    }
    wereC.push(cores);
    return load;
  });
  const bandIn = (values: readonly number[]): Band => {
    const [low, likely, high] = weightedQuantiles({ values, weights: guesses.weights }, shares);
    return { low: low!, likely: likely!, high: high! };
  };
  const bandOf = (of: (load: Load) => number): Band => bandIn(loads.map(of));

  return {
    coreC: bandOf((load) => load.coreC()),
    surfaceC: bandOf((load) => load.surfaceC()),
    lnFilm: normalOf(guesses, 0),
    lnHeat: normalOf(guesses, 1),
    heard: kept.length,
    aside,
    past: marks.map((t, mark) => ({ t, coreC: bandIn(wereC.map((cores) => cores[mark]!)) })),
    ready(targetC, airAhead, where = 'core') {
      const times = loads.map((load, guess) => {
        const leftMs = coolsWithin(load.clone(), { targetC, where, from: asOf }, airAhead);
        return asOf + leftMs * Math.exp(betweenContainers * guesses.values[guess * 4 + 3]!);
      });
      const [earliest, likely, latest] = weightedQuantiles(
        { values: times, weights: guesses.weights },
        shares,
      );
      const inSight = (t: number): EpochMs | null => (Number.isFinite(t) ? Math.round(t) : null);
      return { earliest: inSight(earliest!), likely: inSight(likely!), latest: inSight(latest!) };
    },
    course(airAhead, hours, stepMs = 5 * minuteMs) {
      const running = loads.map((load) => load.clone());
      const points = [{ t: asOf, coreC: bandOf((load) => load.coreC()) }];
      for (let t = asOf; t < asOf + hours * hourMs; t += stepMs) {
        const airC = airAhead(t + stepMs / 2);
        const cores = running.map((load) => {
          load.step(airC, stepMs / 1000);
          return load.coreC();
        });
        points.push({ t: t + stepMs, coreC: bandIn(cores) });
      }
      return points;
    },
  };
}
