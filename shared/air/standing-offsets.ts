import { meanOf } from '../stats/mean.ts';
import { median } from '../stats/robust.ts';

/** Differences of a week of hours are remembered, as those of shelves are. */
export const keptHours = 7 * 24;

/**
 * Mean of an hour's steps; NaN unless its values reach over half of it: a moment says little of an hour.
 * @param at value of a step; NaN where there is none
 */
export function meanOfHour(
  at: (step: number) => number,
  from: number,
  until: number,
  perHour: number,
): number {
  let sum = 0;
  let count = 0;
  let [first, last] = [until, from];
  for (let step = from; step < until; step++) {
    const value = at(step);
    if (Number.isNaN(value)) continue;
    if (count === 0) first = step;
    last = step;
    sum += value;
    count++;
  }
  return last - first >= perHour / 2 ? sum / count : Number.NaN;
}

/**
 * Air that sensors of one place tell together in a moment, each without its standing offset; NaN where none speaks.
 * Those of which no offset is known yet count while no other speaks.
 * @param at what each of them tells [°C]; NaN for nothing
 * @param offsetsK of each sensor; NaN where not known
 */
export function togetherC(at: (sensor: number) => number, offsetsK: readonly number[]): number {
  let [sum, count, strangeSum, strangers] = [0, 0, 0, 0];
  for (let sensor = 0; sensor < offsetsK.length; sensor++) {
    const tempC = at(sensor);
    if (Number.isNaN(tempC)) continue;
    const offsetK = offsetsK[sensor]!;
    if (Number.isNaN(offsetK)) {
      strangeSum += tempC;
      strangers++;
    } else {
      sum += tempC - offsetK;
      count++;
    }
  }
  return count > 0 ? sum / count : strangeSum / strangers;
}

/** What an hour differs from all together by the offsets known before it, of each sensor [K]; NaN where it told none. */
export function differencesIn(hourC: readonly number[], offsetsK: readonly number[]): number[] {
  // Nobody heard before tells with them: there is nothing to hold them against but each other.
  const together = togetherC((sensor) => hourC[sensor]!, offsetsK);
  return hourC.map((tempC) => tempC - together);
}

/** What hours of differences come to [K]; at least one. */
export const standingOffsetK = (differencesK: readonly number[]): number =>
  median(differencesK.slice(-keptHours));

/** Offsets on the level of the sensors by which the first hour was told: theirs come to nothing. */
export function onLevelOf(founds: readonly boolean[], offsetsK: readonly number[]): number[] {
  const levelK = meanOf(offsetsK.filter((_, sensor) => founds[sensor]));
  return offsetsK.map((offsetK) => offsetK - levelK);
}
