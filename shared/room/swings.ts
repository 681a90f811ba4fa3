import { median } from '../stats/robust.ts';
import { usedOf } from './swing-laws.ts';

/** Where the air turns: a place in a series, and whether it is a top. */
export interface Turn {
  at: number;
  top: boolean;
}

/** Swings are told from noise from this many times its size on, and never below so much [K]. */
const overNoise = 5;
const leastSwingK = 0.25;
/** Air that does not turn for so long is not swinging [min]. */
const longestMin = 240;
/** Coarser samples do not show the swings of a switching thermostat [min]. */
const coarsestMin = 2;

/** Nor do those of which more than this part is missing. */
const mostMissing = 0.4;

/** Noise of single samples [K]: second differences cancel what is smooth. */
function noiseOf(values: ArrayLike<number>): number {
  const seconds: number[] = [];
  for (let i = 2; i < values.length; i += 3) {
    const second = values[i]! - 2 * values[i - 1]! + values[i - 2]!;
    if (Number.isFinite(second)) seconds.push(Math.abs(second));
  }
  return seconds.length === 0 ? 0 : (1.4826 * median(seconds)) / Math.sqrt(6);
}

/**
 * Runs of turning points a clear swing apart, tops and bottoms in turn; a gap or a long quiet begins a new run.
 * Empty for samples more than 2 min apart, or with many missing.
 */
export function turnsOf(values: ArrayLike<number>, stepMin: number): Turn[][] {
  if (stepMin > coarsestMin) return [];
  const measured = Array.from(values).filter(Number.isFinite).length;
  if (measured < (1 - mostMissing) * values.length) return [];
  const clearK = Math.max(leastSwingK, overNoise * noiseOf(values));
  const runs: Turn[][] = [[]];
  let extreme = -1;
  let rising = true;
  for (let i = 0; i < values.length; i++) {
    const value = values[i]!;
    if (!Number.isFinite(value)) continue;
    if (extreme < 0 || i - extreme > longestMin / stepMin) {
      if (runs[runs.length - 1]!.length > 0) runs.push([]);
      extreme = i;
      continue;
    }
    const away = value - values[extreme]!;
    if (rising ? away >= 0 : away <= 0) extreme = i;
    else if (Math.abs(away) >= clearK) {
      runs[runs.length - 1]!.push({ at: extreme, top: rising });
      rising = !rising;
      extreme = i;
    }
  }
  return runs;
}

/** How a switching thermostat divides its time over some whole swings. */
export interface DutyStretch {
  /** First and last sample, as places in the series. */
  from: number;
  to: number;
  /** Part of the time that the air was falling. */
  falling: number;
  swings: number;
  /** From top to bottom, mean [K]. */
  swingK: number;
}

const swingsPerStretch = 4;
const leastSwings = 2;

/** Runs of turns in stretches of some swings each. */
export function dutyStretches(values: ArrayLike<number>, runs: readonly Turn[][]): DutyStretch[] {
  const stretches: DutyStretch[] = [];
  for (const turns of runs)
    for (let first = 0; first + 2 * leastSwings < turns.length; first += 2 * swingsPerStretch) {
      const swings = Math.min(swingsPerStretch, Math.floor((turns.length - 1 - first) / 2));
      if (swings < leastSwings) break;
      const last = first + 2 * swings;
      let falling = 0;
      let swingK = 0;
      for (let k = first; k < last; k++) {
        const [turn, next] = [turns[k]!, turns[k + 1]!];
        if (turn.top) falling += next.at - turn.at;
        swingK += Math.abs(values[next.at]! - values[turn.at]!) / (2 * swings);
      }
      const [from, to] = [turns[first]!.at, turns[last]!.at];
      stretches.push({ from, to, falling: falling / (to - from), swings, swingK });
    }
  return stretches;
}

/** How air rises once the cooler rests: the middle one of many. */
export interface Rise {
  /** From bottom to top, and from the bottom to half of the way [min]. */
  lengthMin: number;
  halfMin: number;
}

const leastRiseMin = 6;
const leastRises = 8;

/** The middle rise; null with fewer than eight that are long enough to have a shape. */
export function middleRise(values: ArrayLike<number>, stepMin: number, runs: readonly Turn[][]): Rise | null {
  const lengths: number[] = [];
  const halves: number[] = [];
  for (const turns of runs)
    for (let k = 1; k < turns.length; k++) {
      const [bottom, top] = [turns[k - 1]!.at, turns[k]!.at];
      if (!turns[k]!.top || (top - bottom) * stepMin < leastRiseMin) continue;
      const halfC = (values[bottom]! + values[top]!) / 2;
      let at = bottom + 1;
      while (at < top && !(values[at]! >= halfC)) at++;
      const part = (halfC - values[at - 1]!) / (values[at]! - values[at - 1]!);
      if (!Number.isFinite(part)) continue;
      lengths.push((top - bottom) * stepMin);
      halves.push((at - 1 + part - bottom) * stepMin);
    }
  return lengths.length < leastRises ? null : { lengthMin: median(lengths), halfMin: median(halves) };
}

/** What a room's swings are like as a whole. */
export interface Swing {
  periodS: number;
  /** Part of it that the cooler runs. */
  used: number;
  swingK: number;
}

/** The middle swing of stretches; null with fewer than three. */
export function middleSwing(stretches: readonly DutyStretch[], stepS: number): Swing | null {
  if (stretches.length < 3) return null;
  const used = usedOf(median(stretches.map(({ falling }) => falling)));
  return {
    periodS: stepS * median(stretches.map(({ from, to, swings }) => (to - from) / swings)),
    used: Math.min(0.95, Math.max(0.05, used)),
    swingK: median(stretches.map((stretch) => stretch.swingK)),
  };
}
