import { meanOf } from '../stats/mean.ts';
import { type EpochMs, minuteMs } from '../time.ts';
import { seriesOf } from './air-series.ts';
import { type Swing, swingsOf } from './habits.ts';
import { newLevelFrom } from './new-level.ts';
import type { RecentAir } from './plan-input.ts';

// Chosen on simulated rooms (seed 31001): of 154 questions about a load none is taken back, of 21 others five are.
/** A load gives most of its heat within so long; a room that is as ever later on may have had one [min]. */
const tellsWithinMin = 210;
/** A level on which a room swings by itself is told from what a load leaves in it for so long [min]. */
const levelWithinMin = 180;
/** So many swings since tell, and so many before tell what is usual. */
const swingsSince = 3;
const swingsBefore = 4;
const usualMin = 300;
/** A cooler runs no more than before, and the air is no warmer, within so much [part of the time, K]. */
const moreRun = 0.03;
const warmerK = 0.1;

const runs = (swings: readonly Swing[]): number => meanOf(swings.map(({ part }) => part));

/**
 * Whether a room's course since then speaks against a load that was asked about, in a sentence; null while it does
 * not. A load keeps a cooler busier, or the air warmer, for hours.
 *
 * @param air as `recogniseUnload` takes it
 * @param at when the load seemed to have come in
 */
export function takenBack(air: RecentAir, at: EpochMs, now: EpochMs): string | null {
  const sinceMin = (now - at) / minuteMs;
  const series = sinceMin <= tellsWithinMin ? seriesOf(air, now) : null;
  if (series === null) return null;
  const { tempC, falls, samples } = series;
  const came = Math.round((at - air.firstT) / air.stepMs);
  if (sinceMin <= levelWithinMin && newLevelFrom(series) > came)
    return 'The room has swung on a higher level since, and its cooler pauses there: its thermostat was set higher, or reads low.';
  const swings = swingsOf(falls);
  const since = swings.filter(({ top }) => top > came).slice(-swingsSince);
  const before = swings.filter(({ top }) => top < came && top >= came - samples(usualMin));
  if (since.length < swingsSince || before.length < swingsBefore) return null;
  const highest = (swings: readonly Swing[]): number => Math.max(...swings.map(({ top }) => tempC[top]!));
  const isAsBefore = runs(since) <= runs(before) + moreRun && highest(since) <= highest(before) + warmerK;
  return isAsBefore
    ? 'The room has gone on as before, and its cooler runs no longer than it did: no load stands in it.'
    : null;
}
