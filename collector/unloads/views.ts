import type { Farm } from '../../shared/farm/farm.ts';
import type { Band } from '../../shared/forecasts.ts';
import { type EpochMs, hourMs, minuteMs } from '../../shared/time.ts';
import type { UnloadState } from '../../shared/unload/derive.ts';
import { expectedAt } from '../../shared/unload/expected.ts';
import type { WatchedUnload } from '../../shared/unload/watched.ts';
import type { UnloadNow, UnloadPlan, UnloadReport, UnloadSummary, UnloadView } from '../../shared/unloads.ts';

/** Without a plan an unload answers a room's high alarms for so long at most (assumed). */
const heldUnplannedMs = 3 * hourMs;
/** Without a plan nobody is asked for its end sooner (assumed: carried off by the next day). */
const endsUnplannedMs = 24 * hourMs;
/** Nothing is over so soon, whatever the readings say: the load is still being wheeled in. */
const leastMs = 30 * minuteMs;
/** So long after all should have been over, one that nobody ended ends itself. */
const longestOverdueMs = 12 * hourMs;
/** What was worked out longer ago says nothing of now: whoever follows the load is away. */
const outdatedMs = 20 * minuteMs;
/** The room counts as back when its air is within this of where it was [K]. */
const backWithinK = 1;

/** A schedule that nobody kept or took back is let go after so long (assumed): most likely it was forgotten. */
const forgottenMs = 12 * hourMs;

/** Whether an unload is to be told of everywhere: it stands there, or is to come. */
export const isOpen = ({ stage, at }: UnloadState, now: EpochMs): boolean =>
  stage === 'underway' || (stage === 'scheduled' && now - at < forgottenMs);

/** Until when a room's ordinary high alarms are answered by an unload. */
const heldUntilOf = ({ at }: UnloadState, plan: UnloadPlan | null): EpochMs =>
  plan === null ? at + heldUnplannedMs : (plan.overAt?.latest ?? plan.air.at(-1)?.t ?? at + heldUnplannedMs);

/** When all should be over: the room back, and the load cool enough to be taken away. */
const endsBy = (unload: UnloadState, plan: UnloadPlan | null, roomPlan: UnloadPlan | null): EpochMs =>
  plan === null
    ? unload.at + endsUnplannedMs
    : Math.max(
        heldUntilOf(unload, plan),
        heldUntilOf(unload, roomPlan ?? plan),
        plan.inoculateAt?.latest ?? plan.core.at(-1)!.t,
      );

export const viewOf = (
  { id, room, load, options, stage, at, endedAt, who }: UnloadState,
  plan: UnloadPlan | null,
  now: UnloadNow | null,
): UnloadView => ({ id, room, load, options, stage, at, endedAt, who, plan, now });

/** What lists tell of a report. */
export interface Peaks {
  peakC: number | null;
  plannedC: Band | null;
}

export const peaksOf = (report: UnloadReport | null): Peaks => ({
  peakC: report?.peakC ?? null,
  plannedC: report?.planned?.peakC ?? null,
});

export function summaryOf(
  { id, room, load, stage, at, endedAt, who }: UnloadState,
  { peakC, plannedC: planned }: Peaks,
): UnloadSummary {
  const known = peakC !== null && planned !== null;
  return {
    ...{ id, room, load, stage, at, endedAt, who, peakC },
    peakErrorK: known ? peakC - planned.likely : null,
    peakInBand: known ? peakC >= planned.low && peakC <= planned.high : null,
  };
}

interface Underway {
  unload: UnloadState;
  plan: UnloadPlan | null;
  /** Of the load that came into its room last, where another did; else its own. */
  roomPlan: UnloadPlan | null;
  state: UnloadNow;
  now: EpochMs;
}

/** Whether an unload has come to its end by itself: cool enough inside, and the room as it was before. */
export function isOver({ unload, plan, roomPlan, state, now }: Underway): boolean {
  if (now - unload.at < leastMs) return false;
  if (now - endsBy(unload, plan, roomPlan) > longestOverdueMs) return true;
  const isCool = state.inoculateAt !== null && state.inoculateAt.likely <= now;
  const isBack = plan !== null && state.airC !== null && state.airC <= plan.beforeC + backWithinK;
  return isCool && isBack;
}

interface WatchNeeds {
  unload: UnloadState;
  farm: Farm;
  plan: UnloadPlan | null;
  roomPlan: UnloadPlan | null;
  state: UnloadNow | null;
  /** Not while a past is made, in which all goes by the plan. */
  isFollowed: boolean;
  isMaking: boolean;
  now: EpochMs;
}

/** How the air is to the plan now; null when that is not known. */
function beyondNow({ isFollowed, state, now }: WatchNeeds): number | null {
  if (!isFollowed) return 0;
  return state !== null && now - state.asOf <= outdatedMs ? state.beyondK : null;
}

/** An unload underway as the alarms look after it. */
export function watchedOf(needs: WatchNeeds): WatchedUnload {
  const { unload, farm, plan, roomPlan, state, isMaking, now } = needs;
  const { id, room, load, at } = unload;
  const heldUntil = Math.max(heldUntilOf(unload, plan), heldUntilOf(unload, roomPlan));
  const wasMeasured =
    unload.measured.some(({ where }) => where === 'core') || state?.probe?.state === 'heard';
  const planned = plan && expectedAt(plan.core, now);
  const inoculateBelowC = farm.file.unloads.inoculateBelowC;
  const probe = unload.probes.findLast(({ to }) => to === null);
  return {
    ...{ id, room, at, heldUntil },
    load: `${load.count} × ${farm.containers.get(load.container)?.name ?? load.container}`,
    beyondK: beyondNow(needs),
    slowK: state === null || planned === null || !wasMeasured ? null : state.coreC.likely - planned.high,
    warmK: isMaking && state !== null ? state.coreC.likely - inoculateBelowC : null,
    overdueMin: (now - endsBy(unload, plan, roomPlan)) / minuteMs,
    probe: probe === undefined ? null : { channel: probe.channel, since: probe.from },
  };
}
