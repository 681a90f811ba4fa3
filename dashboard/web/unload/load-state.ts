import type { InstantInterval } from '../../../shared/forecasts.ts';
import type { EpochMs } from '../../../shared/time.ts';
import type { UnloadView } from '../../../shared/unloads.ts';

/** When the core may be inoculated: by what is known now, or by the plan before anything is; null: not foreseen. */
export const meetsAt = ({ plan, now: state }: UnloadView): InstantInterval | null =>
  (state === null ? plan?.inoculateAt : state.inoculateAt) ?? null;

/** Core below which spawn goes in [°C]: the site's now, or the plan's before anything is known; null: neither is. */
export const belowOf = ({ plan, now: state }: UnloadView): number | null =>
  state?.inoculateBelowC ?? plan?.inoculateBelowC ?? null;

/** Whether the core may be inoculated. Where it is known, its temperature tells, and no time that has run out. */
export function isCool(view: UnloadView, now: EpochMs): boolean {
  const { now: state } = view;
  if (state !== null) return state.coreC.likely <= state.inoculateBelowC;
  const meets = meetsAt(view);
  return meets !== null && meets.likely <= now;
}

/**
 * A surface that no bare hand may meet, as it was last known [°C], and until when as far as that is foreseen; null
 * where none is known of. It is hot until it is known to be cooler: the clock alone cools nothing.
 */
export function hotSurface(
  { plan, now: state }: UnloadView,
  now: EpochMs,
): { tempC: number; until: EpochMs | null } | null {
  if (state !== null) {
    const { surfaceC: tempC, touchAt } = state;
    const isHot = touchAt !== null || tempC >= state.cautionC;
    return isHot ? { tempC, until: touchAt !== null && touchAt > now ? touchAt : null } : null;
  }
  if (plan === null) return null;
  const { startC: tempC, cautionC, safeAt } = plan.surface;
  if (tempC < cautionC || (safeAt !== null && safeAt <= now)) return null;
  return { tempC, until: safeAt };
}
