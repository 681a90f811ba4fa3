import { AppError } from '../errors.ts';
import { dayMs, type EpochMs, hourMs } from '../time.ts';

/** One line of a hand-written log. */
export interface MinMaxDay {
  /** Start of that local day, epoch ms. */
  start: EpochMs;
  minC: number;
  maxC: number;
}

export interface TempSample {
  t: EpochMs;
  tempC: number;
}

export interface MinMaxOptions {
  /** Local hours at which the extremes are thought to fall, minimum before maximum; 6 and 15 (assumed). */
  minHour?: number;
  maxHour?: number;
  /** Spacing of the curve [ms]; 15 min unless given. */
  stepMs?: number;
}

/**
 * A day curve from daily minima and maxima: half waves of a cosine from each minimum to the same day's
 * maximum and on to the next day's minimum, the curve that the double sine method integrates. The first
 * and the last day are carried to their midnights with their own extremes. Days may come in any order; a
 * missing day leaves a gap, never a guess.
 * @throws AppError 'out-of-range' naming the line, for a minimum above its maximum, temperatures outside
 * -60 to 70 °C, two different entries for one day, or hours out of order.
 */
export function curveFromMinMax(days: readonly MinMaxDay[], options: MinMaxOptions = {}): TempSample[] {
  const { minHour = 6, maxHour = 15, stepMs = hourMs / 4 } = options;
  if (!(minHour >= 0 && minHour < maxHour && maxHour <= 24 && stepMs > 0))
    throw new AppError(
      'out-of-range',
      `hours of the minimum and maximum must keep 0 <= minimum < maximum <= 24; found ${minHour} and ${maxHour}`,
    );
  const sorted = sortedDays(days);
  const samples: TempSample[] = [];
  let run: MinMaxDay[] = [];
  const finish = (): void => {
    if (run.length > 0) drawRun(run, { minHour, maxHour, stepMs }, samples);
    run = [];
  };
  for (const day of sorted) {
    const last = run[run.length - 1];
    // A local day has 23 to 25 h.
    if (last !== undefined && day.start - last.start > dayMs + 2 * hourMs) finish();
    run.push(day);
  }
  finish();
  return samples;
}

function sortedDays(days: readonly MinMaxDay[]): MinMaxDay[] {
  days.forEach(({ start, minC, maxC }, index) => {
    const where = `line ${index + 1} of the minimum and maximum log`;
    if (!Number.isFinite(start)) throw new AppError('out-of-range', `${where}: no date`);
    if (!(minC <= maxC))
      throw new AppError('out-of-range', `${where}: minimum ${minC} is above maximum ${maxC} degC`);
    if (!(minC >= -60 && maxC <= 70))
      throw new AppError('out-of-range', `${where}: ${minC} to ${maxC} must lie in -60 to 70 degC`);
  });
  const sorted = days
    .map((day, index) => ({ day, line: index + 1 }))
    .sort((a, b) => a.day.start - b.day.start);
  return sorted
    .filter(({ day, line }, index) => {
      const before = sorted[index - 1];
      if (before?.day.start !== day.start) return true;
      if (before.day.minC === day.minC && before.day.maxC === day.maxC) return false;
      throw new AppError(
        'out-of-range',
        `lines ${before.line} and ${line} of the minimum and maximum log are different entries for one day; keep one`,
      );
    })
    .map(({ day }) => day);
}

/** Consecutive days: knots at the extremes, half waves between them. */
function drawRun(run: readonly MinMaxDay[], options: Required<MinMaxOptions>, into: TempSample[]): void {
  const { minHour, maxHour, stepMs } = options;
  const first = run[0]!;
  const last = run[run.length - 1]!;
  const knots: TempSample[] = [
    { t: first.start + (maxHour - 24) * hourMs, tempC: first.maxC },
    ...run.flatMap(({ start, minC, maxC }) => [
      { t: start + minHour * hourMs, tempC: minC },
      { t: start + maxHour * hourMs, tempC: maxC },
    ]),
    { t: last.start + (minHour + 24) * hourMs, tempC: last.minC },
  ];
  const end = last.start + dayMs;
  let knot = 0;
  for (let t = first.start; t < end; t += stepMs) {
    while (knot < knots.length - 2 && knots[knot + 1]!.t <= t) knot++;
    const from = knots[knot]!;
    const to = knots[knot + 1]!;
    const phase = (Math.PI * (t - from.t)) / (to.t - from.t);
    into.push({ t, tempC: (from.tempC + to.tempC) / 2 + ((from.tempC - to.tempC) / 2) * Math.cos(phase) });
  }
}
