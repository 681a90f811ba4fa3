import {
  differencesIn,
  meanOfHour,
  onLevelOf,
  standingOffsetK,
  togetherC,
} from '../../shared/air/standing-offsets.ts';
import { stepsPerHour } from './grid.ts';
import { createHourly } from './hourly.ts';
import { firstOf, meanOf, type StepSeries } from './step-series.ts';

/** Air of one place in a step [°C]; NaN where nothing tells it. */
export interface JointSeries {
  mean(step: number): number;
  /** Something in a step is known otherwise now. */
  reopen(step: number): void;
  dropBefore(step: number): void;
}

const hourOf = (step: number): number => Math.floor(step / stepsPerHour);
const hourMean = (at: (step: number) => number, hour: number): number =>
  meanOfHour(at, hour * stepsPerHour, (hour + 1) * stepsPerHour, stepsPerHour);

/** An offset out of hours of differences, which can be taken up again after any number of them [K]. */
function createOffset(): (hours: number, differenceK: number) => number {
  const differencesK: number[] = [];
  return (hours, differenceK) => {
    differencesK.length = hours;
    differencesK.push(differenceK);
    return standingOffsetK(differencesK);
  };
}

/** What is known of each sensor: hours in which it told, its offset, and whether the first hour was told by it. */
interface Known {
  hours: readonly number[];
  offsetsK: readonly number[];
  founds: readonly boolean[];
}

/**
 * Several sensors of one place as one, by what was known of them at the start of each hour: one that falls silent,
 * speaks again or is new does not step the air. Where all speak all the time it is their plain mean. See
 * `shared/air/joint-air.ts`, which knows a whole past at once.
 */
export function createJointSeries(series: readonly StepSeries[]): JointSeries {
  if (series.length < 2)
    return { mean: (step) => meanOf(series, step), reopen: () => {}, dropBefore: () => {} };

  const offsets = series.map(createOffset);
  const nothing: Known = {
    hours: series.map(() => 0),
    offsetsK: series.map(() => Number.NaN),
    founds: series.map(() => false),
  };
  const hourly = createHourly(
    nothing,
    () => hourOf(firstOf(series)),
    (before: Known, hour): Known => {
      const differences = differencesIn(
        series.map((one) => hourMean(one.mean, hour)),
        before.offsetsK,
      );
      const tells = differences.map((differenceK) => !Number.isNaN(differenceK));
      if (!tells.includes(true)) return before;
      const founds = before.founds.includes(true) ? before.founds : tells;
      const offsetsK = before.offsetsK.map((offsetK, sensor) =>
        tells[sensor] ? offsets[sensor]!(before.hours[sensor]!, differences[sensor]!) : offsetK,
      );
      return {
        hours: before.hours.map((hours, sensor) => hours + (tells[sensor] ? 1 : 0)),
        offsetsK: onLevelOf(founds, offsetsK),
        founds,
      };
    },
  );

  return {
    mean: (step) => togetherC((sensor) => series[sensor]!.mean(step), hourly.at(hourOf(step)).offsetsK),
    reopen: (step) => hourly.reopen(hourOf(step)),
    dropBefore: (step) => hourly.dropBefore(hourOf(step)),
  };
}

/**
 * A place's own air, or without it what another tells less what that usually differs by: going from one to the other
 * does not step the air.
 */
export function createStandIn(own: JointSeries, other: JointSeries, first: () => number): JointSeries {
  const offset = createOffset();
  const hourly = createHourly(
    { hours: 0, offsetK: 0 },
    () => hourOf(first()),
    (before, hour) => {
      const differenceK = hourMean(other.mean, hour) - hourMean(own.mean, hour);
      if (Number.isNaN(differenceK)) return before;
      return { hours: before.hours + 1, offsetK: offset(before.hours, differenceK) };
    },
  );
  return {
    mean(step) {
      const ownC = own.mean(step);
      if (!Number.isNaN(ownC)) return ownC;
      const otherC = other.mean(step);
      return Number.isNaN(otherC) ? otherC : otherC - hourly.at(hourOf(step)).offsetK;
    },
    reopen(step) {
      own.reopen(step);
      other.reopen(step);
      hourly.reopen(hourOf(step));
    },
    dropBefore(step) {
      own.dropBefore(step);
      other.dropBefore(step);
      hourly.dropBefore(hourOf(step));
    },
  };
}
