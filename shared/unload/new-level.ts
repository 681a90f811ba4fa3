import { turnsOf } from '../room/swings.ts';
import { median } from '../stats/robust.ts';
import { type AirSeries, extreme } from './air-series.ts';

/** Smaller swings may be a door's or a fan's [K]. */
const leastSwingK = 0.6;
/** So many swings make a level of their own, each within these parts of the middle one. */
const swingsNeeded = 3;
const alike = { least: 0.5, most: 1.6 } as const;
/** They hold their tops within this part of a swing: what a load leaves in the air comes down. */
const levelPart = 0.5;
/** Bottoms lie this part of a swing, at least, above all that the air was for so long before [min]. */
const abovePart = 0.5;
const beforeMin = 300;
const leastBeforeMin = 60;
/** What is usual by then is the new level [min]. */
const settledMin = 45;

/**
 * From where on a room is known to swing on a new level: its thermostat was set higher, or its sensor reads low. A
 * load heats a room past its thermostat's level, but leaves the cooler no pause up there; swings whose very bottoms
 * lie above all that the air was before have such pauses. 0 where there is no such level.
 */
export function newLevelFrom({ tempC, first, samples, minutes }: AirSeries): number {
  const turns = turnsOf(tempC.subarray(first), minutes(1))
    .flat()
    .map(({ at, top }) => ({ at: first + at, top }));
  const swings = turns.flatMap(({ at, top }, k) => {
    const next = turns[k + 1];
    return top && next !== undefined
      ? [{ top: at, bottom: next.at, depthK: tempC[at]! - tempC[next.at]! }]
      : [];
  });
  for (let begin = 0; begin + swingsNeeded <= swings.length; begin++) {
    const own = swings.slice(begin, begin + swingsNeeded);
    const depthK = median(own.map((swing) => swing.depthK));
    if (depthK < leastSwingK) continue;
    if (own.some((one) => one.depthK < alike.least * depthK || one.depthK > alike.most * depthK)) continue;
    const tops = own.map(({ top }) => tempC[top]!);
    if (Math.max(...tops) - Math.min(...tops) > levelPart * depthK) continue;
    const lowestC = Math.min(...own.map(({ bottom }) => tempC[bottom]!));
    let came = own[0]!.top;
    while (came > first && tempC[came - 1]! >= lowestC) came--;
    // The rise to it is no part of what was.
    const left = turns.findLast(({ at, top }) => !top && at < came)?.at ?? came - samples(leastBeforeMin);
    if (left - first < samples(leastBeforeMin)) continue;
    const wasC = extreme(tempC, Math.max(first, left - samples(beforeMin)), left + 1, 1);
    if (lowestC >= wasC + abovePart * depthK)
      return Math.max(own[swingsNeeded - 1]!.bottom, came + samples(settledMin));
  }
  return 0;
}
