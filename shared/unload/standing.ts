import { doseRate, heatAllowanceHours, recoveryDays } from '../growth/dose.ts';
import { type Thermal, thermalOf } from '../heat/container.ts';
import { type CoreState, chainParts, evenCore, followAir } from '../heat/core-chain.ts';
import { clamp } from '../stats/range.ts';
import type { StandingCohort } from './plan-input.ts';

/**
 * Bags in a room whose air leaves what it is now. A core follows linearly, so one answer to the room's
 * departure serves all bags of one container; each cohort adds its own core, shelf and share.
 */
export interface Standing {
  cohorts: readonly StandingCohort[];
  thermals: readonly Thermal[];
  /** Place of each cohort's container in `thermals`. */
  kindOf: readonly number[];
}

/** Mycelium keeps a core up to this much over its air; more is a bag that is still cooling [K]. Assumed. */
const ownHeatK = 3;
/** Less added exposure than this is none of the load's doing [equivalent h]. */
const tellingHours = 0.02;

export function highestOf(values: Float64Array): number {
  let most = Number.NEGATIVE_INFINITY;
  for (let index = 0; index < values.length; index++) if (values[index]! > most) most = values[index]!;
  return most;
}

export function standingOf(cohorts: readonly StandingCohort[]): Standing {
  const kinds = new Map<string, number>();
  const thermals: Thermal[] = [];
  const kindOf = cohorts.map(({ container }) => {
    const { shape, massKg, moisture } = container;
    const key = JSON.stringify([shape, massKg, moisture]);
    const known = kinds.get(key);
    if (known !== undefined) return known;
    kinds.set(key, thermals.length);
    thermals.push(thermalOf(container));
    return thermals.length - 1;
  });
  return { cohorts, thermals, kindOf };
}

/** How cores of each container stand to a room's departure, carried from one course to the next. */
export type Answers = readonly CoreState[];

export const atRest = ({ thermals }: Standing): Answers => thermals.map(() => evenCore(0));

/** Departures of cores after each step, container by container [K], and where they end. */
export function answersTo(
  { thermals }: Standing,
  departureK: Float64Array,
  dtS: number,
  from: Answers,
): { cores: Float64Array[]; end: Answers } {
  const end: CoreState[] = [];
  const cores = thermals.map((thermal, kind) => {
    const state = { ...from[kind]! };
    const parts = chainParts(thermal, dtS);
    const out = new Float64Array(departureK.length);
    for (let step = 0; step < out.length; step++) {
      followAir(state, parts, departureK[step]!);
      out[step] = state.coreC;
    }
    end.push(state);
    return out;
  });
  return { cores, end };
}

/** What a course does to one cohort. */
export interface Exposed {
  peakC: number;
  /** Exposure in memory at its highest, in shares of what bags stand. */
  share: number;
  /** Equivalent hours that came on top [h]. */
  addedHours: number;
  over: boolean;
}

export interface Exposure {
  /** Departures of cores of each container, every `dtS` [K]. */
  cores: readonly Float64Array[];
  /** The highest of each. */
  highestK: readonly number[];
  dtS: number;
  /** Room air behind which cores stand now [°C]; departures count from it. */
  roomC: number;
  /** From now to the first entry [s]. */
  sinceNowS: number;
  shelfErrorK: number;
  riseShare: number;
}

/** Exposure of one cohort over a course. Exact memory for each step's middle core. */
export function exposeCohort(standing: Standing, index: number, exposure: Exposure): Exposed {
  const cohort = standing.cohorts[index]!;
  const kind = standing.kindOf[index]!;
  const thermal = standing.thermals[kind]!;
  const core = exposure.cores[kind]!;
  const { dtS, riseShare, shelfErrorK, sinceNowS } = exposure;
  const { warmLimitC, heatLimitC, memoryHours } = cohort;
  const excessK = cohort.coreC - exposure.roomC - cohort.shelfAboveRoomK;
  const keptK = clamp(excessK, 0, ownHeatK);
  const restC = cohort.coreC - excessK + keptK + shelfErrorK;
  // What is neither of the shelf nor of its own making goes with the slowest lag.
  const goesK = excessK - keptK;
  const goesStep = Math.exp(-dtS / thermal.tauS);
  let going = goesK * Math.exp(-sinceNowS / thermal.tauS);

  const fade = dtS / (86_400 * recoveryDays);
  const fadeStep = Math.exp(-fade);
  const gain = ((dtS / 3600) * (1 - fadeStep)) / fade;
  let memory = memoryHours * Math.exp(-sinceNowS / (86_400 * recoveryDays));
  let highest = memory;
  let addedHours = 0;
  let peakC = restC + riseShare * exposure.highestK[kind]! + Math.max(0, going);
  // Most bags stay below their warm limit all the time: nothing to add up.
  if (goesK === 0 && peakC <= warmLimitC)
    return { peakC, share: memory / heatAllowanceHours, addedHours, over: false };
  peakC = Number.NEGATIVE_INFINITY;
  for (let step = 0; step < core.length; step++) {
    const coreC = restC + riseShare * core[step]! + going;
    going *= goesStep;
    if (coreC > peakC) peakC = coreC;
    memory *= fadeStep;
    if (coreC <= warmLimitC) continue;
    const rate = doseRate(coreC, warmLimitC, heatLimitC);
    memory += rate * gain;
    addedHours += rate * (dtS / 3600);
    if (memory > highest) highest = memory;
  }
  const share = highest / heatAllowanceHours;
  return { peakC, share, addedHours, over: share > 1 && addedHours > tellingHours };
}
