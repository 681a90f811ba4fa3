import { meanOf } from '../stats/mean.ts';
import { median } from '../stats/robust.ts';

/** Differences of a week of hours are remembered, as those of shelves are. */
const keptBlocks = 7 * 24;

/** Mean of a stretch; NaN unless its values reach over half of it: a moment says little of an hour. */
function meanOfHour(values: Float64Array, from: number, until: number, perHour: number): number {
  let sum = 0;
  let count = 0;
  let [first, last] = [until, from];
  for (let step = from; step < until; step++) {
    if (Number.isNaN(values[step]!)) continue;
    if (count === 0) first = step;
    last = step;
    sum += values[step]!;
    count++;
  }
  return last - first >= perHour / 2 ? sum / count : Number.NaN;
}

interface Sensor {
  values: Float64Array;
  /** How far it stood from all together, hour by hour, newest last [K], and what that comes to; NaN before any. */
  differencesK: number[];
  offsetK: number;
  /** Of the day that sets the level, those in which it told. */
  hours: number;
  /** Of those by which the first hour was told: their offsets come to nothing. */
  founds: boolean;
}

/** Takes in one hour: what each sensor differs from all together, without what it always does. */
function learnHour(sensors: readonly Sensor[], hourC: readonly number[]): void {
  const told = sensors.map((_, index) => index).filter((index) => !Number.isNaN(hourC[index]!));
  if (told.length === 0) return;
  const known = told.filter((index) => !Number.isNaN(sensors[index]!.offsetK));
  const first = sensors.every(({ offsetK }) => Number.isNaN(offsetK));
  // Nobody heard before tells with them: there is nothing to hold them against but each other.
  const togetherC =
    known.length === 0
      ? meanOf(told.map((index) => hourC[index]!))
      : meanOf(known.map((index) => hourC[index]! - sensors[index]!.offsetK));
  for (const index of told) {
    const sensor = sensors[index]!;
    sensor.founds ||= first;
    sensor.differencesK.push(hourC[index]! - togetherC);
    if (sensor.differencesK.length > keptBlocks) sensor.differencesK.shift();
    sensor.offsetK = median(sensor.differencesK);
  }
  const overK = meanOf(sensors.filter(({ founds }) => founds).map(({ offsetK }) => offsetK));
  for (const sensor of sensors) sensor.offsetK -= overK;
}

/**
 * Air that several sensors tell together, mean over them with each one's standing offset taken out: one that falls
 * silent or speaks again does not step it. Where all speak all the time it is their plain mean. Offsets are the
 * running median of hourly differences of the last week. The level is that of the sensors that told one day, but for
 * those that told less than half as often as others, so that whoever asks about the same day has the same level.
 *
 * @param series of each sensor, a value a step [°C], NaN where it told none; all of one length
 * @param perHour steps of an hour
 * @param levelUntil step at which that day ends; the last unless given
 * @returns NaN where no sensor told anything
 */
export function jointAir(
  series: readonly Float64Array[],
  perHour: number,
  levelUntil = series[0]?.length ?? 0,
): Float64Array {
  const steps = series[0]?.length ?? 0;
  const airC = new Float64Array(steps).fill(Number.NaN);
  const sensors = series.map(
    (values): Sensor => ({ values, differencesK: [], offsetK: Number.NaN, hours: 0, founds: false }),
  );
  for (let from = 0; from < steps; from += perHour) {
    const until = Math.min(steps, from + perHour);
    const hourC = series.map((values) => meanOfHour(values, from, until, perHour));
    learnHour(sensors, hourC);
    if (until <= levelUntil && until > levelUntil - 24 * perHour)
      sensors.forEach((sensor, index) => {
        if (!Number.isNaN(hourC[index]!)) sensor.hours++;
      });
    for (let step = from; step < until; step++) {
      let [sum, count, strangeSum, strangers] = [0, 0, 0, 0];
      for (const { values, offsetK } of sensors) {
        const tempC = values[step]!;
        if (Number.isNaN(tempC)) continue;
        if (Number.isNaN(offsetK)) {
          strangeSum += tempC;
          strangers++;
        } else {
          sum += tempC - offsetK;
          count++;
        }
      }
      if (count > 0) airC[step] = sum / count;
      else if (strangers > 0) airC[step] = strangeSum / strangers;
    }
  }
  const known = sensors.filter(({ offsetK }) => !Number.isNaN(offsetK));
  const most = Math.max(0, ...known.map(({ hours }) => hours));
  const often = known.filter(({ hours }) => 2 * hours >= most);
  const levelK = often.length === 0 ? 0 : meanOf(often.map(({ offsetK }) => offsetK));
  return levelK === 0 ? airC : airC.map((tempC) => tempC + levelK);
}
