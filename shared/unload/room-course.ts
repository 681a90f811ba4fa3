import type { Load } from '../heat/load.ts';
import { aroundLoadC, loadInput, ownGains, roomRun } from '../room/model.ts';
import type { RoomParams } from '../room/params.ts';

/** Loads that stand in a room; `at` counts in seconds from the start of the course. */
export interface ComingLoad {
  load: Load;
  atS: number;
  /** Radiation against that of its film standing free: less where a fan blows. */
  radiantFactor: number;
  /**
   * It stood there before and gives what heat is left in it, but takes none from a warmer room: it may be carried
   * off any time, and nobody is to count on it for cooling. Unless so, it is a body like any other.
   */
  onlyGives?: boolean;
}

/** What a course runs through. */
export interface CourseSpec {
  room: RoomParams;
  airC: number;
  structureC: number;
  /** What the cooler gives at first, `RoomRun.used`; unless given, what keeps the room as it is. */
  used?: number | undefined;
  /** Lengths of its steps [s]; loads come in at the beginning of one. */
  steps: readonly number[];
  /** Of each step: outside air [°C], and whether lamps are on and people about. */
  outsideC: Float64Array;
  working: Uint8Array;
  loads: readonly ComingLoad[];
}

/** Air and structure [°C] and what the cooler gave, after each step; the first entries are those at the start. */
export interface RoomCourse {
  airC: Float64Array;
  structureC: Float64Array;
  used: Float64Array;
}

/** A load in a room, with what is known of its skin as a step begins. */
interface Standing extends Pick<ComingLoad, 'load' | 'radiantFactor'> {
  onlyGives: boolean;
  radiantShare: number;
  skinC: number;
}

/** Loads as they stand in a room during one step. */
function createStand(room: RoomParams) {
  const standing: Standing[] = [];
  const state = { airC: 0, structureC: 0 };
  let stepS = 0;
  /** What they give to air and structure in the last step asked for [W]. */
  const given = { airW: 0, structureW: 0 };
  /** Puts down what a load gives for an air that its step ends at, taking it or only asking for it. */
  const add = (one: Standing, takes: boolean): void => {
    const aroundC = aroundLoadC(room, state, one.radiantShare);
    // What takes no heat stands still: what it did not take it cannot give back.
    const loadW = one.load.heatFor(aroundC, stepS);
    if (one.onlyGives && loadW <= 0) return;
    if (takes) one.load.step(aroundC, stepS);
    const { heatW, structureW } = loadInput(room, loadW, one, state);
    given.airW += heatW;
    given.structureW += structureW;
  };
  const all = (airC: number, takes: boolean): void => {
    state.airC = airC;
    given.airW = 0;
    given.structureW = 0;
    for (const one of standing) add(one, takes);
  };
  return {
    given,
    comes({ load, radiantFactor, onlyGives = false }: ComingLoad): void {
      standing.push({ load, radiantFactor, onlyGives, radiantShare: Number.NaN, skinC: Number.NaN });
    },
    isEmpty: () => standing.length === 0,
    begin(airC: number, structureC: number, dtS: number): void {
      state.structureC = structureC;
      stepS = dtS;
      for (const one of standing) {
        one.radiantShare = one.radiantFactor * one.load.radiantShare(airC);
        one.skinC = one.load.skinC();
      }
    },
    tries: (airC: number): void => all(airC, false),
    takes: (airC: number): void => all(airC, true),
  };
}

/**
 * A room and its hot loads together. The heat that a load gives depends on the air that it warms, so each step
 * is solved for the air at its end: two trials and the limit to which they tend (Aitken 1926), which is exact
 * while the thermostat stays on one branch. So a load of any size cannot make it swing.
 * @param each called after each step, when loads have moved on
 */
export function runRoom(spec: CourseSpec, each?: (step: number) => void): RoomCourse {
  const { room, steps, outsideC, working } = spec;
  const airC = new Float64Array(steps.length + 1);
  const structureC = new Float64Array(steps.length + 1);
  const used = new Float64Array(steps.length + 1);
  airC[0] = spec.airC;
  structureC[0] = spec.structureC;
  used[0] = spec.used ?? 0;
  const waiting = [...spec.loads].sort((a, b) => a.atS - b.atS);
  const stand = createStand(room);
  const gains = [ownGains(room, false), ownGains(room, true)] as const;
  let elapsedS = 0;
  let runS = steps[0] ?? 60;
  let run = roomRun(room, spec, runS);
  const from = { airC: 0, structureC: 0, used: 0 };
  /** Takes a step, which may be taken again, with what loads were last asked to give; returns the air at its end. */
  const advance = (step: number): number => {
    const own = gains[working[step] === 1 ? 1 : 0];
    if (step === 0) run = roomRun(room, spec, runS);
    else run.used = from.used;
    run.airC = from.airC;
    run.structureC = from.structureC;
    run.step(outsideC[step]!, own.airW + stand.given.airW, own.wallW + stand.given.structureW, 1);
    return run.airC;
  };

  for (let step = 0; step < steps.length; step++) {
    const dtS = steps[step]!;
    if (dtS !== runS) {
      run = roomRun(room, run, dtS);
      runS = dtS;
    }
    while (waiting[0] !== undefined && waiting[0].atS <= elapsedS + 0.5) stand.comes(waiting.shift()!);
    from.airC = run.airC;
    from.structureC = run.structureC;
    from.used = run.used;
    if (!stand.isEmpty()) {
      stand.begin(from.airC, from.structureC, dtS);
      stand.tries(from.airC);
      const first = advance(step);
      stand.tries(first);
      const second = advance(step);
      const turn = from.airC - 2 * first + second;
      const endC = Math.abs(turn) < 1e-9 ? second : from.airC - (first - from.airC) ** 2 / turn;
      // The trials bracket the answer: outside them rounding or a change of branch spoke.
      const between = endC >= Math.min(from.airC, first) && endC <= Math.max(from.airC, first);
      stand.takes(between ? endC : (first + second) / 2);
    }
    advance(step);
    elapsedS += dtS;
    airC[step + 1] = run.airC;
    structureC[step + 1] = run.structureC;
    used[step + 1] = run.used;
    each?.(step);
  }
  return { airC, structureC, used };
}
