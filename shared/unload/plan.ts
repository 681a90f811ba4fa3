import type { Band, InstantInterval } from '../forecasts.ts';
import { heatAllowanceHours } from '../growth/dose.ts';
import { normalQuantile } from '../stats/normal.ts';
import { quantile, weightedQuantiles } from '../stats/quantiles.ts';
import { inRange } from '../stats/range.ts';
import { smoothQuantiles } from '../stats/smooth-quantiles.ts';
import { hourMs } from '../time.ts';
import type { ExpectedPoint, UnloadPlan } from '../unloads.ts';
import { adviceOf } from './advice.ts';
import { type Course, comingHours, createOutlook, type Outlook, shownHours, stepS } from './outlook.ts';
import { drawCases, likelyCase, type PlanCase, residualSdK } from './plan-case.ts';
import type { PlanInput } from './plan-input.ts';
import { assumptionsOf, doubtsOf } from './plan-words.ts';
import { outsideAhead } from './room-now.ts';
import { highestOf, standingOf } from './standing.ts';
import { openVesselC, startOf } from './start.ts';
import { type Verdict, verdictOf } from './verdict.ts';

/** Surfaces from here on burn; the caution's temperature [°C]. */
export const touchCautionC = 60;
/** The room is back when it is this near to what it would be without the load [K]. */
const backWithinK = 0.5;
/** Cohorts that pass what they stand in more than this part of the cases are called over. */
const matters = 0.1;
/** What has not come by then is not in sight. */
const inSightMs = 48 * hourMs;
/** A core that has not come down goes on as over this many last steps. */
const tailSteps = (3 * 3600) / stepS;
const shares = [0.1, 0.5, 0.9] as const;

function bandOf(values: readonly number[]): Band {
  const weights = new Float64Array(values.length).fill(1);
  const [low, likely, high] = weightedQuantiles({ values, weights }, shares);
  return { low: low!, likely: likely!, high: high! };
}

/** A band with another middle, which it takes in. */
const about = (likely: number, { low, high }: Band): Band => ({
  low: Math.min(low, likely),
  likely,
  high: Math.max(high, likely),
});

/** Null when it is likely never; a latest that is out of sight is told as the end of sight. */
function whenOf(times: readonly number[], from: number, likeliest?: number): InstantInterval | null {
  const inSight = (t: number): number => Math.min(t, from + inSightMs);
  const middle = bandOf(times.map(inSight));
  const { low, likely, high } = likeliest === undefined ? middle : about(inSight(likeliest), middle);
  if (likely >= from + inSightMs) return null;
  return { earliest: Math.round(low), likely: Math.round(likely), latest: Math.round(high) };
}

const soonSteps = (2 * 3600) / stepS;
/** Every five minutes for six hours, then every quarter of an hour. */
const isShown = (step: number): boolean => step <= (6 * 3600) / stepS || step % 3 === 0;

/** A band that runs smoothly from step to step, over cases and what else each may be at that step. */
function curveOf(
  curves: readonly Float64Array[],
  at: number,
  mayBe: (valueC: number, index: number, step: number) => readonly number[],
): ExpectedPoint[] {
  const points: ExpectedPoint[] = [];
  for (let step = 0; step < curves[0]!.length; step++) {
    if (!isShown(step)) continue;
    const values = curves.flatMap((curve, index) => mayBe(curve[step]!, index, step));
    const [low, likely, high] = smoothQuantiles(Float64Array.from(values), shares) as [
      number,
      number,
      number,
    ];
    points.push({ t: at + step * stepS * 1000, value: { low, likely, high } });
  }
  return points;
}

/** A point of a band with the likely course running through it. */
const through = (likely: Float64Array, at: number, { t, value }: ExpectedPoint): ExpectedPoint => ({
  t,
  value: about(likely[Math.round((t - at) / (stepS * 1000))]!, value),
});

/** Even parts of what the model leaves unexplained, of variance 1. */
const parts = (() => {
  const middles = Array.from({ length: 8 }, (_, part) => normalQuantile((part + 0.5) / 8));
  const sd = Math.sqrt(middles.reduce((sum, z) => sum + z * z, 0) / middles.length);
  return middles.map((z) => z / sd);
})();

/** Air with all that the residual may be instead of the one path that each case drew: that is known of it. */
function airCurveOf({ input, cases, courses, likely, outlook, at }: Shown): ExpectedPoint[] {
  const { sdK, lastsS } = input.fit.residual;
  const curve = curveOf(
    courses.map(({ airC }) => airC),
    at,
    (airC, index, step) => {
      const fromNow = outlook.atStep + step;
      const plainC = airC - (cases[index]!.residualK[fromNow] ?? 0);
      const spreadK = residualSdK(sdK, lastsS, fromNow);
      return parts.map((z) => plainC + z * spreadK);
    },
  );
  return curve.map((point) => through(likely.airC, at, point));
}

/** When a falling curve is down to a temperature [s]; beyond its end it goes on as in its last hours. */
function downTo(curve: Float64Array, targetC: number, airC: number): number {
  const step = curve.findIndex((tempC) => tempC <= targetC);
  if (step === 0) return 0;
  if (step > 0) {
    const [before, after] = [curve[step - 1]!, curve[step]!];
    return (step - 1 + (before - targetC) / (before - after)) * stepS;
  }
  const last = curve.length - 1;
  const lastK = curve[last]! - airC;
  const steps = Math.min(last, tailSteps);
  const fallen = Math.log((curve[last - steps]! - airC) / lastK);
  if (!(airC < targetC && fallen > 0)) return Number.POSITIVE_INFINITY;
  return (last + (steps * Math.log(lastK / (targetC - airC))) / fallen) * stepS;
}

/** Seconds after which the room stays near what it would be without the load. */
function backAfter({ airC }: Course, idleC: Float64Array, atStep: number): number {
  for (let step = airC.length - 1; step >= 0; step--)
    if (Math.abs(airC[step]! - idleC[atStep + step]!) > backWithinK)
      return step === airC.length - 1 ? Number.POSITIVE_INFINITY : (step + 1) * stepS;
  return 0;
}

function cohortsOf(input: PlanInput, verdicts: readonly Verdict[]): UnloadPlan['cohorts'] {
  return input.cohorts
    .map(({ cohort, batch, shelf, memoryHours }, index) => {
      const exposed = verdicts.map(({ cohorts }) => cohorts[index]!);
      return {
        ...{ cohort, batch, shelf },
        peakC: bandOf(exposed.map(({ peakC }) => peakC)),
        before: memoryHours / heatAllowanceHours,
        after: bandOf(exposed.map(({ share }) => share)),
        over: exposed.filter(({ over }) => over).length > matters * exposed.length,
      };
    })
    .sort((a, b) => b.after.likely - a.after.likely || b.peakC.likely - a.peakC.likely);
}

interface Shown {
  input: PlanInput;
  cases: readonly PlanCase[];
  outlook: Outlook;
  courses: readonly Course[];
  /** The course of the case in which all is as it is held most likely. */
  likely: Course;
  at: number;
}

/**
 * Chance finds the highest moment of each course and lifts it, so that the middle of all peaks lies above the room's
 * and earlier or later: what is likely is read off the likely course, and from all only how far they go.
 */
function peakOf({ courses, likely, at }: Shown): UnloadPlan['peak'] {
  const peakIn = ({ airC }: Course) => {
    const tempC = highestOf(airC);
    return { tempC, at: at + airC.indexOf(tempC) * stepS * 1000 };
  };
  const peaks = courses.map(peakIn);
  const best = peakIn(likely);
  const times = about(best.at, bandOf(peaks.map((peak) => peak.at)));
  return {
    tempC: about(best.tempC, bandOf(peaks.map(({ tempC }) => tempC))),
    at: {
      earliest: Math.round(times.low),
      likely: Math.round(times.likely),
      latest: Math.round(times.high),
    },
  };
}

function loadOf({ input, outlook, courses, likely, at }: Shown) {
  const lastAirC = ({ airC }: Course): number => airC[airC.length - 1]!;
  const meetsIn = (course: Course): number =>
    at + 1000 * downTo(course.coreC, input.inoculateBelowC, lastAirC(course));
  const safe = courses.map((course) => at + 1000 * downTo(course.surfaceC, touchCautionC, lastAirC(course)));
  const back = courses.map(
    (course, index) => at + 1000 * backAfter(course, outlook.idleC(index), outlook.atStep),
  );
  const safeAt = quantile(safe, shares[2]);
  return {
    inoculateAt: whenOf(courses.map(meetsIn), at, meetsIn(likely)),
    surface: {
      startC: quantile(
        courses.map(({ surfaceC }) => surfaceC[0]!),
        0.5,
      ),
      cautionC: touchCautionC,
      safeAt: Number.isFinite(safeAt) ? Math.round(safeAt) : null,
    },
    overAt: whenOf(back, at),
  };
}

/**
 * What an unload would do to a room, to what stands in it and to itself, and what to do instead when that is too
 * much. `caseCount` cases of what is not known are run through. Bands reach from 10 to 90 % of them; what is likely of
 * the air and the core is as in the likeliest case, of the rest 50 % of all. The same question has the same answer.
 * `at` is met to five minutes.
 * @throws AppError 'out-of-range' for a mass, count or shape that cannot be, or `at` beyond a day ahead
 */
export function planUnload(input: PlanInput): UnloadPlan {
  const { load, now, options, limits } = input;
  inRange('hours until the load comes', (input.at - now) / hourMs, -1 / 60, comingHours, 'h');
  const given = load.startC === null ? undefined : Math.min(openVesselC, load.startC);
  const start = startOf(given);
  const cases = drawCases(input, start);
  const standing = standingOf(input.cohorts);
  const outlook = createOutlook(input, [...cases, likelyCase(input, start)], standing);
  const { atStep } = outlook;
  const at = now + atStep * stepS * 1000;
  const part = [{ count: load.count, atStep }];
  const courses = cases.map((_, index) => outlook.run(index, part, shownHours, true));
  const verdicts = courses.map((course) => verdictOf(standing, limits, course));
  const likely = outlook.run(cases.length, part, shownHours, true);
  const shown = { input, cases, outlook, courses, likely, at };

  const minutesOver = (limitC: number): Band =>
    bandOf(courses.map(({ airC }) => (airC.filter((tempC) => tempC > limitC).length * stepS) / 60));
  const outsideMeasured = outsideAhead(input)(now).sdK === 0;
  return {
    ...{ room: input.room, load, at, options, inoculateBelowC: input.inoculateBelowC },
    beforeC: quantile(
      courses.map(({ airC }) => airC[0]!),
      0.5,
    ),
    likelyIs: 'likeliest-course',
    peak: peakOf(shown),
    air: airCurveOf(shown),
    core: curveOf(
      courses.map(({ coreC }) => coreC),
      at,
      (coreC) => [coreC],
    ).map((point) => through(likely.coreC, at, point)),
    limits: limits.map(({ name, limitC }) => ({ name, limitC, minutes: minutesOver(limitC) })),
    cohorts: cohortsOf(input, verdicts),
    ...loadOf(shown),
    advice: adviceOf({ input, outlook, standing, verdicts }),
    doubts: doubtsOf(input),
    assumed: assumptionsOf(input, {
      ...{ start, thermal: outlook.thermal, nowC: outlook.nowC, measured: outlook.measured },
      outsideMeasured,
      soonC: quantile(
        cases.map((_, index) => outlook.idleC(index)[soonSteps]!),
        0.5,
      ),
    }),
  };
}
