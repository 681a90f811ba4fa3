import { type Thermal, thermalOf } from '../heat/container.ts';
import { fanFilm, filmFactorRange } from '../heat/film.ts';
import { createLoad, type Load } from '../heat/load.ts';
import { isWorkingHour } from '../room/room-fit.ts';
import { clamp } from '../stats/range.ts';
import { hourMs } from '../time.ts';
import { type PlanCase, residualStepS } from './plan-case.ts';
import type { EarlierLoad, PlanInput } from './plan-input.ts';
import { type ComingLoad, runRoom } from './room-course.ts';
import { airNowC, lastHourC, newestC, outsideAhead, structureNowC } from './room-now.ts';
import { type Answers, answersTo, atRest, type Exposure, highestOf, type Standing } from './standing.ts';
import { recordedStartC } from './start.ts';

/** Everything runs on steps of five minutes from now on; a load's first hour in steps of one. */
export const stepS = residualStepS;
const fineSteps = 12;
/** Hours ahead in which a load may come, and for which one is followed when shown and when searched. */
export const comingHours = 24;
export const shownHours = 24;
export const searchedHours = 12;
const perHour = 3600 / stepS;
/** An earlier load whose mean is this near to the air has nothing left that a plan could tell [K]. */
const spentK = 1;
/** The last part of a split may come a day after the first, itself a day from now, and is searched through [h]. */
const foreseenHours = 2 * comingHours + searchedHours;
/** In so long a room comes to where it stands by itself. */
const settleHours = 0.5;

/** Part of a load that comes in at a step of five minutes from now. */
export interface Part {
  count: number;
  atStep: number;
}

/** What a load does in one case; arrays hold a value every five minutes, the first at the start. */
export interface Course {
  /** Room air as a sensor would show it [°C]. */
  airC: Float64Array;
  /** Core and surface of the first part [°C]. */
  coreC: Float64Array;
  surfaceC: Float64Array;
  exposure: Exposure;
}

export interface Outlook {
  /** Air now, or what the thermostat holds where no sensor tells it [°C]. */
  nowC: number;
  measured: boolean;
  thermal: Thermal;
  /** Steps at which a load may come: as asked, and at each full hour of the next day. */
  atStep: number;
  hourSteps: readonly number[];
  /** Air of a case without the load, every five minutes from now until a day after it would come [°C]. */
  idleC(index: number): Float64Array;
  /** @param fine the first hour of the first part in steps of a minute */
  run(index: number, parts: readonly Part[], hours: number, fine?: boolean): Course;
}

/** A load that is not the one asked about: it stands there now, or comes in at a step of five minutes from now. */
interface Other {
  load: Load;
  atStep: number;
  radiantFactor: number;
}

interface Idle {
  /** What the measured air now is past what the model holds, fading with the residual, and the case's residual [K]. */
  residualK: Float64Array;
  airC: Float64Array;
  structureC: Float64Array;
  used: Float64Array;
  /** Answers of cores and other loads as they stand where a load may come. */
  answers: Map<number, Answers>;
  others: Map<number, Other[]>;
}

const steadySteps = (hours: number): number[] => new Array<number>(Math.round(hours * perHour)).fill(stepS);

/** A room with loads ahead of it, case by case; what does not depend on the question is computed once. */
export function createOutlook(input: PlanInput, cases: readonly PlanCase[], standing: Standing): Outlook {
  const { now, localHour, options } = input;
  const thermal = thermalOf(input.container);
  const measuredC = airNowC(input);
  const totalSteps = foreseenHours * perHour;
  const ahead = outsideAhead(input);
  const hourOf = (step: number): number => localHour(now + (step + 0.5) * stepS * 1000);
  const outside = Array.from({ length: totalSteps }, (_, step) => ahead(now + (step + 0.5) * stepS * 1000));
  const working = Uint8Array.from({ length: totalSteps }, (_, step) => (isWorkingHour(hourOf(step)) ? 1 : 0));
  const outsideIn = cases.map(({ outsideZ }) =>
    Float64Array.from(outside, ({ meanC, sdK }) => meanC + outsideZ * sdK),
  );

  const mid =
    cases.reduce((sum, { room }) => sum + (room.coolAboveC + room.heatBelowC) / 2, 0) / cases.length;
  const nowC = measuredC ?? mid;
  const behindC = lastHourC(input) ?? nowC;
  // Where it is known whether the cooler runs, a load that comes now meets the air in that part of its swings.
  const cooling = input.recent.cooling ?? undefined;
  const swingK = cooling === undefined ? 0 : (newestC(input) ?? nowC) - nowC;
  const radiantFactor = options.fan ? 1 / fanFilm.factor : 1;
  const atStep = Math.max(0, Math.round((input.at - now) / (stepS * 1000)));

  const untilHour = (1 - (localHour(now) % 1)) * perHour;
  const hourSteps = Array.from({ length: comingHours }, (_, hour) => Math.round(untilHour + hour * perHour));
  const starts = new Set([0, atStep, ...hourSteps].sort((a, b) => a - b));
  /** No load is asked about that would come in later than the last full hour, nor is one compared with later air. */
  const idleHours = atStep / perHour + shownHours;

  // Modes are found once for each of these, and not in each case again.
  const thermals = new Map([[input.container, thermal]]);
  for (const { container } of [...input.earlier, ...(input.scheduled ?? [])])
    if (!thermals.has(container)) thermals.set(container, thermalOf(container));
  const otherLoad = (
    { heatFactor, conductionFactor }: PlanCase,
    { load, container }: EarlierLoad,
    filmFactor: number,
  ): Load =>
    createLoad({
      ...{ thermal: thermals.get(container)!, count: load.count, filmFactor, heatFactor, conductionFactor },
      ...{ startC: recordedStartC(load.startC), airC: nowC },
    });
  const earlierLoads = (one: PlanCase): Other[] =>
    input.earlier
      .filter(({ at }) => at <= now && now - at < 48 * hourMs)
      .map((earlier) => {
        const { at } = earlier;
        const hot = otherLoad(one, earlier, one.plainFilm);
        const past = (now - at) / 1000;
        const parts = Math.ceil(past / stepS);
        for (let part = 0; part < parts; part++) {
          const t = at + ((part + 0.5) * past * 1000) / parts;
          const place = Math.round((t - input.recent.firstT) / input.recent.stepMs);
          const airC = input.recent.airC[place];
          hot.step(airC !== undefined && Number.isFinite(airC) ? airC : nowC, past / parts);
        }
        return hot;
      })
      .filter((hot) => hot.meanC() > nowC + spentK)
      .map((load) => ({ load, atStep: 0, radiantFactor: 1 }));
  const scheduledLoads = (one: PlanCase): Other[] =>
    (input.scheduled ?? []).map((scheduled) => {
      const film = one.plainFilm * (scheduled.fan ? fanFilm.factor : 1);
      return {
        load: otherLoad(one, scheduled, clamp(film, filmFactorRange.low, filmFactorRange.high)),
        atStep: Math.max(0, Math.round((scheduled.at - now) / (stepS * 1000))),
        radiantFactor: scheduled.fan ? 1 / fanFilm.factor : 1,
      };
    });
  const cloneOf = (others: readonly Other[]): Other[] =>
    others.map((other) => ({ ...other, load: other.load.clone() }));
  /** As a course takes them that begins at a step. */
  const since = (others: readonly Other[], step: number): ComingLoad[] =>
    others.map(({ load, atStep: its, radiantFactor }) => ({
      ...{ load, radiantFactor, onlyGives: true },
      atS: Math.max(0, (its - step) * stepS),
    }));

  const idleOf = (one: PlanCase, index: number): Idle => {
    const earlier = earlierLoads(one);
    const wallC = structureNowC(one.room, input, nowC);
    // Where this room would stand by itself, with what stands in it: there it starts, so that the difference to
    // the measured air is taken for what the model does not explain, and fades, instead of being an event.
    const held = runRoom({
      ...{ room: one.room, airC: nowC, structureC: wallC, steps: steadySteps(settleHours), working },
      outsideC: outsideIn[index]!,
      loads: since(cloneOf(earlier), 0),
    });
    const others = [...earlier, ...scheduledLoads(one)];
    const heldC = held.airC[held.airC.length - 1]!;
    const { lastsS } = input.fit.residual;
    const residualK = one.residualK.map(
      (chanceK, step) => chanceK + (nowC - heldC) * Math.exp((-step * stepS) / lastsS),
    );
    const kept = new Map([[0, cloneOf(others)]]);
    const { airC, structureC, used } = runRoom(
      {
        ...{ room: one.room, airC: heldC, steps: steadySteps(idleHours), working },
        structureC: wallC,
        outsideC: outsideIn[index]!,
        loads: since(others, 0),
      },
      (step) => {
        if (starts.has(step + 1)) kept.set(step + 1, cloneOf(others));
      },
    );
    const answers = new Map<number, Answers>([[0, atRest(standing)]]);
    let state = atRest(standing);
    let from = 0;
    for (const step of starts) {
      if (step === 0) continue;
      const departures = airC
        .subarray(from + 1, step + 1)
        .map((tempC, index) => tempC + (residualK[from + 1 + index] ?? 0) - behindC);
      state = answersTo(standing, departures, stepS, state).end;
      answers.set(step, state);
      from = step;
    }
    return { residualK, airC, structureC, used, answers, others: kept };
  };
  const idles = cases.map((one, index): (() => Idle) => {
    let known: Idle | undefined;
    return () => {
      known ??= idleOf(one, index);
      return known;
    };
  });

  const loadOf = ({ filmFactor, heatFactor, conductionFactor, startC }: PlanCase, count: number): Load =>
    createLoad({ thermal, count, startC, airC: nowC, filmFactor, heatFactor, conductionFactor });

  return {
    nowC,
    measured: measuredC !== null,
    thermal,
    atStep,
    hourSteps,
    idleC(index) {
      const { airC, residualK } = idles[index]!();
      return airC.map((tempC, step) => tempC + (residualK[step] ?? 0));
    },
    run(index, parts, hours, fine = false) {
      const one = cases[index]!;
      const idle = idles[index]!();
      const first = parts[0]!.atStep;
      const coming = parts.map(({ count, atStep: step }) => ({
        load: loadOf(one, count),
        atS: (step - first) * stepS,
        radiantFactor,
      }));
      const steps = steadySteps(hours);
      const fines = fine ? fineSteps : 0;
      const perStep = stepS / 60;
      const taken = [...new Array<number>(fines * perStep).fill(60), ...steps.slice(fines)];
      // Place of each step taken among those of five minutes.
      const placeOf = (step: number): number =>
        step < fines * perStep ? Math.floor(step / perStep) : step - fines * (perStep - 1);
      const outsideC = outsideIn[index]!;
      const count = steps.length + 1;
      const coreC = new Float64Array(count).fill(coming[0]!.load.coreC());
      const surfaceC = new Float64Array(count).fill(coming[0]!.load.surfaceC());
      const airC = new Float64Array(count);
      const course = runRoom(
        {
          ...{ room: one.room, structureC: idle.structureC[first]!, steps: taken },
          airC: idle.airC[first]! + (first === 0 ? swingK : 0),
          used: first === 0 ? cooling : idle.used[first]!,
          outsideC: fine
            ? Float64Array.from(taken, (_, step) => outsideC[first + placeOf(step)]!)
            : outsideC.subarray(first),
          working: fine
            ? Uint8Array.from(taken, (_, step) => working[first + placeOf(step)]!)
            : working.subarray(first),
          loads: [...since(cloneOf(idle.others.get(first)!), first), ...coming],
        },
        (step) => {
          const place = placeOf(step) + 1;
          coreC[place] = coming[0]!.load.coreC();
          surfaceC[place] = coming[0]!.load.surfaceC();
        },
      );
      for (let step = 0; step < taken.length; step++) airC[placeOf(step) + 1] = course.airC[step + 1]!;
      airC[0] = course.airC[0]!;
      for (let place = 0; place < count; place++) airC[place]! += idle.residualK[first + place] ?? 0;
      const departures = airC.subarray(1).map((tempC) => tempC - behindC);
      const { cores } = answersTo(standing, departures, stepS, idle.answers.get(first)!);
      return {
        ...{ airC, coreC, surfaceC },
        exposure: {
          ...{ cores, highestK: cores.map(highestOf), dtS: stepS, roomC: behindC, sinceNowS: first * stepS },
          ...{ shelfErrorK: one.shelfErrorK, riseShare: one.riseShare },
        },
      };
    },
  };
}
