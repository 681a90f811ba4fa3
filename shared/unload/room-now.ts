import { followStructure, settledRoom } from '../room/model.ts';
import type { RoomParams } from '../room/params.ts';
import { type RoomFit, usualOutsideC, weatherLastsMs } from '../room/room-fit.ts';
import { meanOfKnown } from '../stats/mean.ts';
import { type EpochMs, hourMs, minuteMs } from '../time.ts';
import type { PlanInput, RecentAir } from './plan-input.ts';

/** Readings older than this do not tell the air now. */
const staleMs = hourMs;
/** The structure is followed through the past in steps of this length. */
const followMs = 15 * minuteMs;

/** Mean over the last while before `now`, NaN when nothing was measured in it. */
function lately(recent: RecentAir, of: Float64Array, now: EpochMs, forMs: number): number {
  const place = (t: EpochMs): number => Math.ceil((t - recent.firstT) / recent.stepMs);
  return meanOfKnown(of, place(now - forMs), place(now) + 1);
}

/** Air that cores stand behind [°C]: the last hour's mean, over the pauses of a cooler; null when no sensor tells it. */
export function lastHourC({ recent, now }: Pick<PlanInput, 'recent' | 'now'>): number | null {
  const airC = lately(recent, recent.airC, now, hourMs);
  return Number.isFinite(airC) ? airC : null;
}

/** The room's air now [°C]: a quarter of an hour's mean, or the last hour's; null when no sensor tells it. */
export function airNowC({ recent, now }: Pick<PlanInput, 'recent' | 'now'>): number | null {
  for (const forMs of [15 * minuteMs, staleMs]) {
    const airC = lately(recent, recent.airC, now, forMs);
    if (Number.isFinite(airC)) return airC;
  }
  return null;
}

/** Where the air is in the swings of its thermostat [°C]: the newest step alone; null when no sensor told it then. */
export function newestC({ recent, now }: Pick<PlanInput, 'recent' | 'now'>): number | null {
  const airC = lately(recent, recent.airC, now, recent.stepMs);
  return Number.isFinite(airC) ? airC : null;
}

/** Outside air ahead: the usual day and what today departs from it, with an error that grows to the fit's [°C, K]. */
export function outsideAhead({
  fit,
  recent,
  now,
  localHour,
}: Pick<PlanInput, 'fit' | 'recent' | 'now' | 'localHour'>): (t: EpochMs) => { meanC: number; sdK: number } {
  const measuredC = lately(recent, recent.outsideC, now, staleMs);
  const known = Number.isFinite(measuredC);
  const departureK = known ? measuredC - usualOutsideC(fit, localHour(now)) : 0;
  const { sdK } = fit.outside;
  return (t) => {
    const kept = known ? Math.exp((now - t) / weatherLastsMs) : 0;
    return {
      meanC: usualOutsideC(fit, localHour(t)) + kept * departureK,
      sdK: sdK * Math.sqrt(1 - kept * kept),
    };
  };
}

/** Where the structure stands behind the air that was measured; settled where none was [°C]. */
export function structureNowC(
  room: RoomParams,
  { fit, recent, localHour }: { fit: RoomFit; recent: RecentAir; localHour: (t: EpochMs) => number },
  airC: number,
): number {
  const perStep = Math.max(1, Math.round(followMs / recent.stepMs));
  const usualC = fit.outside.hoursC.reduce((sum, hourC) => sum + hourC, 0) / 24;
  const firstC = meanOfKnown(recent.airC, 0, Math.ceil((4 * hourMs) / recent.stepMs));
  let { structureC } = settledRoom(room, Number.isFinite(firstC) ? firstC : airC, usualC);
  let lastC = Number.isFinite(firstC) ? firstC : airC;
  for (let from = 0; from < recent.airC.length; from += perStep) {
    const until = Math.min(recent.airC.length, from + perStep);
    const metC = meanOfKnown(recent.airC, from, until);
    if (Number.isFinite(metC)) lastC = metC;
    const outsideC = meanOfKnown(recent.outsideC, from, until);
    const hour = localHour(recent.firstT + from * recent.stepMs);
    structureC = followStructure(
      room,
      structureC,
      { airC: lastC, outsideC: Number.isFinite(outsideC) ? outsideC : usualOutsideC(fit, hour) },
      ((until - from) * recent.stepMs) / 1000,
    );
  }
  return structureC;
}
