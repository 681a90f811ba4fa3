import { type AirSeries, bestAt, extreme, highestBefore } from './air-series.ts';
import { slowFallsBefore, usualFalls } from './habits.ts';

/** How fast a rise is: over this long. */
export const jumpMin = 5;
/** A rise this much faster than any of the hours before is none of the cooler's pauses: factor and margin [K]. */
const faster = 1.08;
const fasterK = 0.1;
/** How far the air must leave all that it was in the hours before [K]; after a fall that was held up, less. */
const pastUsualK = 0.6;
const pastHeldUpK = 0.3;
/** What is usual is told by so long before [min]. */
const usualMin = 300;
const settleMin = 20;
/** Air stays past the usual when it is this much past it [K] for so long [min]; a heater or a door is over by then. */
const staysPastK = 0.3;
const staysMin = 20;
/** A heater starts from the lowest air of the hours: a rise from this much above it [K, part of a swing] is none. */
const aboveLowK = 0.3;
const aboveLowPart = 0.2;
/** Nor does a heater bring the air so far past the usual [K]. */
const heaterMostK = 6;
/**
 * Air that stays this far past the usual [K], having gone there within so long [min], is a load or a cooler without
 * effect. What is usual ends this long before.
 */
const farStaysK = 0.7;
const wentThereMin = 15;
const farStaysSettleMin = 45;
/** A rise began at the lowest air so long before it passed the usual [min]. */
const beganMin = 15;
/** A rise that far past the usual, most of it within `mostlyMin`, was a load when it turns while nothing was mended. */
const turnedPastK = 0.9;
const mostlyMin = 30;
const mostly = 0.6;
const turnsK = 0.5;
const turnsPart = 0.25;
const turnsWithinMin = 150;

/** A rise that speaks for a load. */
export interface Rise {
  kind: 'fast' | 'turned';
  /** Where it begins, and where the load came in: before it, where it held up a fall. */
  start: number;
  came: number;
  /** How long the cooler took to bring the air down before it [samples], where that was slow. */
  heldUp: number | null;
  /** Fastest five minutes of it, and of the hours before [K]. */
  jumpK: number;
  usualJumpK: number;
  /** Past all that the air was, and from bottom to top [K]. */
  pastK: number;
  riseK: number;
}

/**
 * The first rise after `oldest` that takes the air past all it was in the hours before as a load does.
 * @param explained whether the room's own heat explains the rise between two places with its cooler off; the last is
 *   how far it goes past the usual [K]
 */
export function tellingRise(
  series: AirSeries,
  oldest: number,
  explained: (start: number, end: number, pastK: number) => boolean,
): Rise | null {
  const { tempC, first, samples } = series;
  const end = tempC.length;
  const tops = highestBefore(tempC, samples(usualMin));
  const jumps = tempC.map((value, index) => value - extreme(tempC, index - samples(jumpMin), index, -1));
  for (let index = oldest; index < end; index++) {
    const until = index - samples(settleMin);
    const usualTopC = tops[until]!;
    const pastK = tempC[index]! - usualTopC;
    if (pastK < pastHeldUpK) continue;
    const from = Math.max(first, until - samples(usualMin));
    const usualJumpK = extreme(jumps, from + samples(jumpMin), until, 1);
    const steepest = bestAt(jumps, until, index + 1, 1);
    const start = bestAt(tempC, steepest - samples(jumpMin), steepest, -1);
    const slow = slowFallsBefore(series, start);
    const heldUp = slow.find((fall) => fall.heldUp && fall.at >= oldest)?.length ?? null;
    const peak = bestAt(tempC, start, Math.min(end, index + samples(turnsWithinMin)), 1);
    const rise = {
      ...{ start, heldUp, usualJumpK, pastK },
      came: slow[0]?.at ?? start,
      jumpK: jumps[steepest]!,
      riseK: tempC[peak]! - tempC[start]!,
    };
    const fast = rise.jumpK >= faster * usualJumpK + fasterK;
    if (fast && heldUp !== null) return { kind: 'fast', ...rise };
    if (pastK < pastUsualK) continue;

    let [since, last] = [index, index];
    while (since > start && tempC[since - 1]! > usualTopC + staysPastK) since--;
    while (last + 1 < end && tempC[last + 1]! > usualTopC + staysPastK) last++;
    const lowC = (): number => extreme(tempC, from, until, -1);
    const lasts = last - since >= samples(staysMin);
    const above = lasts || pastK > heaterMostK || notHeater(series, { start, peak, lowC });
    if (fast && above && !explained(start, steepest, pastK)) return { kind: 'fast', ...rise };
    if (!lasts) continue;
    if (pastK >= turnedPastK && turned(series, { start, peak })) return { kind: 'turned', ...rise };
  }
  return null;
}

/** Air that has gone past the usual within minutes and stays there. */
export interface Warm {
  came: number;
  pastK: number;
  /** How long it has stayed [samples]. */
  stays: number;
}

/** The first time after `oldest` that the air has gone past the usual within minutes and stayed. */
export function stayingWarm(series: AirSeries, oldest: number): Warm | null {
  const { tempC, samples } = series;
  const tops = highestBefore(tempC, samples(usualMin));
  for (let index = oldest; index < tempC.length; index++) {
    const usualTopC = tops[Math.max(0, index - samples(farStaysSettleMin))]!;
    const pastK = tempC[index]! - usualTopC;
    if (!(pastK >= farStaysK)) continue;
    let since = index;
    while (since > 0 && tempC[since - 1]! > usualTopC + staysPastK) since--;
    let within = since;
    while (within > 0 && tempC[within]! > usualTopC) within--;
    const stays = index - since;
    const wentThere = within + samples(wentThereMin);
    if (stays < samples(staysMin) || wentThere > index || index - within > samples(2 * staysMin)) continue;
    if (tempC[wentThere]! < usualTopC + pastUsualK) continue;
    const start = bestAt(tempC, within - samples(beganMin), within + 1, -1);
    return { came: slowFallsBefore(series, start)[0]?.at ?? start, pastK, stays };
  }
  return null;
}

interface Course {
  start: number;
  peak: number;
}

/** Whether a rise began where no heater would, or slows the fall after it, which a heater does not. */
function notHeater(series: AirSeries, { start, peak, lowC }: Course & { lowC: () => number }): boolean {
  const { tempC, first, samples } = series;
  const usual = usualFalls(series, start - samples(usualMin), start);
  if (usual === null) return tempC[start]! >= extreme(tempC, first, start, -1) + aboveLowK;
  const low = lowC();
  if (tempC[start]! >= low + Math.max(aboveLowK, aboveLowPart * usual.depthK)) return true;
  const down = peak + usual.longest + samples(3);
  return down < tempC.length && extreme(tempC, peak, down, -1) > low + 0.5 * usual.depthK;
}

/** Whether a rise came at once and has turned since. */
function turned({ tempC, samples }: AirSeries, { start, peak }: Course): boolean {
  const end = tempC.length;
  const riseK = tempC[peak]! - tempC[start]!;
  const soonC = extreme(tempC, start, Math.min(end, start + samples(mostlyMin)), 1);
  const fellK = tempC[peak]! - extreme(tempC, peak, Math.min(end, peak + samples(turnsWithinMin)), -1);
  return soonC - tempC[start]! > mostly * riseK && fellK >= Math.max(turnsK, turnsPart * riseK);
}
