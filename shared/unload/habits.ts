import type { AirSeries, Fall } from './air-series.ts';

/** So many falls tell what is usual; of so many, the longest may have been an exception. */
const fewestFalls = 2;
const manyFalls = 4;

/** What the falls of a room are like. */
export interface UsualFalls {
  /** The longest, but for an exception [samples]. */
  longest: number;
  /** From top to bottom, the middle one [K]. */
  depthK: number;
  falls: readonly Fall[];
}

const middleOf = (values: number[]): number => values.sort((a, b) => a - b)[values.length >> 1]!;

const depthOf = (tempC: Float64Array, { top, bottom }: Fall): number => tempC[top]! - tempC[bottom]!;

/** What falls that began at `from` or later and ended before `until` were like; null where too few are known. */
export function usualFalls(
  { tempC, falls }: Pick<AirSeries, 'tempC' | 'falls'>,
  from: number,
  until: number,
): UsualFalls | null {
  const known = falls.filter(({ top, bottom }) => top >= from && bottom < until);
  if (known.length < fewestFalls) return null;
  const lengths = known.map(({ top, bottom }) => bottom - top).sort((a, b) => b - a);
  return {
    longest: lengths[known.length >= manyFalls ? 1 : 0]!,
    depthK: middleOf(known.map((fall) => depthOf(tempC, fall))),
    falls: known,
  };
}

/** Smaller swings than this are as well a door's, or a fan's [K]. */
const leastSwingK = 0.6;
/** A cooler has the air halfway down after this part of a fall or later. */
const halfwayPart = 0.35;

/** Part of the way from one place to another, in time, at which the air is halfway in temperature. */
function halfwayOf(tempC: Float64Array, from: number, to: number): number {
  const halfC = (tempC[from]! + tempC[to]!) / 2;
  const sign = Math.sign(tempC[to]! - tempC[from]!);
  let at = from;
  while (at < to && sign * (tempC[at]! - halfC) < 0) at++;
  return (at - from) / (to - from);
}

/**
 * Whether it is the cooler that makes a room swing: it brings the air down faster and faster, and stops; the rise
 * after it slackens. With a heater it is the other way round, and the milder it is outside, the longer its falls.
 */
function byCooler(tempC: Float64Array, falls: readonly Fall[]): boolean {
  if (middleOf(falls.map((fall) => depthOf(tempC, fall))) < leastSwingK) return false;
  const down = middleOf(falls.map(({ top, bottom }) => halfwayOf(tempC, top, bottom)));
  const up = middleOf(falls.slice(1).map(({ top }, before) => halfwayOf(tempC, falls[before]!.bottom, top)));
  return down >= halfwayPart && down >= up;
}

/** How far back falls are compared with [min]. */
const backMin = 300;
/** How much longer than usual falls take that lead to a rise, and that speak for a load by themselves. */
const slow = { times: 1.6, moreMin: 6 } as const;
const verySlow = { times: 2, moreMin: 8 } as const;
/** A fall has left the way that falls usually take by this part of their depth. */
const leftPart = 0.15;
/**
 * How far a fall comes within the time that falls usually take, as a part of their depth, when heat holds it up. Air
 * that goes nowhere has not come to where its cooler starts; air that went down as usual and then drifts on has its
 * cooler off, and outside air that cools.
 */
const heldUpPart = { low: 0.2, high: 0.75 } as const;

/** A fall that took far longer than others. */
export interface SlowFall {
  /** Where it left its usual way. */
  at: number;
  /** How long it took, and how long others at most [samples]. */
  length: number;
  usually: number;
  /** Whether heat held it up, rather than that its cooler was off. */
  heldUp: boolean;
}

/** What is slow about a fall; null where it went as usual, or that is not known. */
function slowFall(
  series: AirSeries,
  which: number,
  { times, moreMin }: { times: number; moreMin: number },
): SlowFall | null {
  const { tempC, falls, samples } = series;
  const { top, bottom } = falls[which]!;
  const length = bottom - top;
  const usual = usualFalls({ tempC, falls: falls.slice(0, which) }, top - samples(backMin), top + 1);
  if (usual === null || length < times * usual.longest + samples(moreMin)) return null;
  let lowestC = tempC[top]!;
  for (let index = top; index <= top + usual.longest; index++) lowestC = Math.min(lowestC, tempC[index]!);
  const part = (tempC[top]! - lowestC) / usual.depthK;
  const usuallyK = (since: number): number =>
    usual.falls.reduce(
      (sum, fall) => sum + depthOf(tempC, { top: fall.top, bottom: Math.min(fall.bottom, fall.top + since) }),
      0,
    ) / usual.falls.length;
  let since = 0;
  while (since < length && tempC[top]! - tempC[top + since]! >= usuallyK(since) - leftPart * usual.depthK)
    since++;
  return {
    at: since < length ? top + since : top,
    length,
    usually: usual.longest,
    heldUp: part > heldUpPart.low && part < heldUpPart.high && byCooler(tempC, usual.falls),
  };
}

/** Slow falls, one after the other, that led to a rise from `start`; the first one first. */
export function slowFallsBefore(series: AirSeries, start: number): SlowFall[] {
  const found: SlowFall[] = [];
  for (
    let which = series.falls.findLastIndex(({ bottom }) => bottom <= start + series.samples(3));
    which >= 0;
    which--
  ) {
    const one = slowFall(series, which, slow);
    if (one === null) break;
    found.unshift(one);
  }
  return found;
}

/** The first fall that began after `oldest` and that heat held up for a long while. */
export function heldUpFall(series: AirSeries, oldest: number): SlowFall | null {
  for (let which = 0; which < series.falls.length; which++) {
    if (series.falls[which]!.top < oldest) continue;
    const found = slowFall(series, which, verySlow);
    if (found?.heldUp === true) return found;
  }
  return null;
}

/** A cooler is busier when in each of so many swings it runs for this much more of the time than in any before. */
const busySwings = 2;
const busyMore = 0.08;
const swingsBefore = 6;

/** One fall and the rise after it; `part` is that of its time for which its cooler ran. */
export interface Swing {
  top: number;
  part: number;
}

/** Whole swings, in order. */
export const swingsOf = (falls: readonly Fall[]): Swing[] =>
  falls.slice(0, -1).map(({ top, bottom }, k) => ({ top, part: (bottom - top) / (falls[k + 1]!.top - top) }));

export interface Busier {
  at: number;
  /** Parts of the time: in the swings since, the least; in all before, the most. */
  runs: number;
  ran: number;
}

/** From when on, after `oldest`, the cooler has run for more of the time than in all swings of the hours before. */
export function busierCooler(series: AirSeries, oldest: number): Busier | null {
  const { falls, samples } = series;
  const swings = swingsOf(falls);
  for (let first = swingsBefore; first + busySwings <= swings.length; first++) {
    const { top } = swings[first]!;
    if (top < oldest) continue;
    const before = swings.slice(0, first).filter((swing) => swing.top >= top - samples(backMin));
    const runs = Math.min(...swings.slice(first, first + busySwings).map(({ part }) => part));
    const ran = Math.max(...before.map(({ part }) => part));
    if (before.length < swingsBefore || runs <= ran + busyMore) continue;
    if (byCooler(series.tempC, falls.slice(first - before.length, first))) return { at: top, runs, ran };
  }
  return null;
}
