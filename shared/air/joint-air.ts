import { meanOf } from '../stats/mean.ts';
import {
  differencesIn,
  keptHours,
  meanOfHour,
  onLevelOf,
  standingOffsetK,
  togetherC,
} from './standing-offsets.ts';

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
  const isFirst = sensors.every(({ offsetK }) => Number.isNaN(offsetK));
  const differences = differencesIn(
    hourC,
    sensors.map(({ offsetK }) => offsetK),
  );
  differences.forEach((differenceK, index) => {
    if (Number.isNaN(differenceK)) return;
    const sensor = sensors[index]!;
    sensor.founds ||= isFirst;
    sensor.differencesK.push(differenceK);
    if (sensor.differencesK.length > keptHours) sensor.differencesK.shift();
    sensor.offsetK = standingOffsetK(sensor.differencesK);
  });
  const offsets = onLevelOf(
    sensors.map(({ founds }) => founds),
    sensors.map(({ offsetK }) => offsetK),
  );
  offsets.forEach((offsetK, index) => {
    sensors[index]!.offsetK = offsetK;
  });
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
    const hourC = series.map((values) => meanOfHour((step) => values[step]!, from, until, perHour));
    learnHour(sensors, hourC);
    if (until <= levelUntil && until > levelUntil - 24 * perHour)
      sensors.forEach((sensor, index) => {
        if (!Number.isNaN(hourC[index]!)) sensor.hours++;
      });
    const offsets = sensors.map(({ offsetK }) => offsetK);
    for (let step = from; step < until; step++)
      airC[step] = togetherC((sensor) => series[sensor]![step]!, offsets);
  }
  const known = sensors.filter(({ offsetK }) => !Number.isNaN(offsetK));
  const most = Math.max(0, ...known.map(({ hours }) => hours));
  const often = known.filter(({ hours }) => 2 * hours >= most);
  const levelK = often.length === 0 ? 0 : meanOf(often.map(({ offsetK }) => offsetK));
  return levelK === 0 ? airC : airC.map((tempC) => tempC + levelK);
}
