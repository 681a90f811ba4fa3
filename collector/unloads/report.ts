import type { CohortForecast } from '../../shared/forecasts.ts';
import { heatAllowanceHours } from '../../shared/growth/dose.ts';
import type { UnloadState } from '../../shared/unload/derive.ts';
import type { RecentAir } from '../../shared/unload/plan-input.ts';
import type { UnloadPlan, UnloadReport } from '../../shared/unloads.ts';

/** Exposure of each cohort in the room as an unload began [equivalent h since inoculation]. */
export type DosesBefore = Readonly<Record<string, number>>;

interface ReportNeeds {
  unload: UnloadState;
  plan: UnloadPlan | null;
  /** From its beginning to its end. */
  air: RecentAir;
  /** Bags in the room now. */
  forecasts: readonly CohortForecast[];
  dosesBefore: DosesBefore;
  /** When another load came into the room; null while it was the only one. */
  joinedAt: number | null;
  /** When the core was cool enough by the last estimate; null when it was not known, or not yet. */
  inoculateAt: number | null;
}

/** Less than this is rounding [equivalent h]. */
const leastGainedHours = 0.005;

const signed = (value: number): string => `${value < 0 ? '−' : '+'}${Math.abs(value).toFixed(1)} K`;

/** What came of an unload: the room against its plan, and what the bags there had of it. */
export function reportOf({
  unload,
  plan,
  air,
  forecasts,
  dosesBefore,
  joinedAt,
  inoculateAt,
}: ReportNeeds): UnloadReport {
  let peakC: number | null = null;
  let peakAt: number | null = null;
  air.airC.forEach((tempC, index) => {
    const t = air.firstT + index * air.stepMs;
    // What came after the next load is not of this one alone.
    if (t > (joinedAt ?? t) || Number.isNaN(tempC) || (peakC !== null && tempC <= peakC)) return;
    peakC = tempC;
    peakAt = t;
  });
  const isCutShort = plan !== null && joinedAt !== null && joinedAt < plan.peak.at.likely;
  const planned = plan && !isCutShort ? { peakC: plan.peak.tempC, at: plan.peak.at } : null;
  const cohorts = forecasts.flatMap(({ cohort, batch, shelf, heat }) => {
    const before = dosesBefore[cohort];
    if (before === undefined || shelf === null) return [];
    const gainedHours = Math.max(0, heat.equivalentHours - before);
    return gainedHours < leastGainedHours
      ? []
      : [{ cohort, batch, shelf, gainedHours, share: heat.recentHours / heatAllowanceHours }];
  });
  return {
    ...{ peakC, peakAt, planned, inoculateAt },
    cohorts: cohorts.sort((a, b) => b.share - a.share),
    taught: isCutShort ? [cutShortWords] : taughtBy(unload, plan, peakC),
  };
}

const cutShortWords =
  'Another load came in before the peak of this one: the room is held against the plan of that one alone.';

function taughtBy({ load }: UnloadState, plan: UnloadPlan | null, peakC: number | null): string[] {
  if (peakC === null) return ['No sensor told the air of this room, so it taught nothing of it.'];
  if (plan === null) return ['Nothing had been planned to hold it against.'];
  const { low, likely, high } = plan.peak.tempC;
  const off = signed(peakC - likely);
  const what = load.count === 1 ? '1 container' : `${load.count} containers`;
  const held =
    peakC > high ? 'above all that was planned' : peakC < low ? 'below all that was planned' : 'as planned';
  return [`${what} brought the room to ${peakC.toFixed(1)} °C: ${off} against the plan, ${held}.`];
}
