import type { BatchState } from '../../shared/batches.ts';
import { AppError } from '../../shared/errors.ts';
import type { Farm } from '../../shared/farm/farm.ts';
import type { CohortForecast } from '../../shared/forecasts.ts';
import type { RoomFit } from '../../shared/room/room-fit.ts';
import { type EpochMs, hourMs, minuteMs } from '../../shared/time.ts';
import type { UnloadState } from '../../shared/unload/derive.ts';
import type { LoadBelief } from '../../shared/unload/load-belief.ts';
import { comingHours } from '../../shared/unload/outlook.ts';
import type { EarlierLoad, PlanInput, ScheduledLoad } from '../../shared/unload/plan-input.ts';
import type { UnloadQuestion } from '../../shared/unloads.ts';
import type { StoreHistory } from '../store/history.ts';
import { checkLoad } from './check-event.ts';
import { warmLimitsOf } from './limits-in.ts';
import { coolingNow, recentAir } from './recent-air.ts';
import type { createShelfDifferences } from './shelf-differences.ts';
import { standingIn } from './standing.ts';

export interface GatherNeeds {
  farm: () => Farm;
  history: Pick<StoreHistory, 'readMinutes' | 'readStates'>;
  batches: () => readonly BatchState[];
  forecasts: () => Iterable<CohortForecast>;
  /** What is known of a room; a default where nothing was learned. */
  fitOf: (room: string, knownBy: EpochMs) => RoomFit;
  /** Heat that bags give to a room [W]; null where nobody knows. */
  bagsW: (room: string, t: EpochMs) => number | null;
  /** What was learned of loads of a kind of container. */
  beliefOf: (container: string) => LoadBelief;
  shelfDifferences: ReturnType<typeof createShelfDifferences>;
  unloads: () => readonly UnloadState[];
  /** Titles of alarms that stand and say that a room is not held as it was. */
  alarms: (room: string) => readonly string[];
}

/** An hour that was just now is taken as now. */
const agoMs = 5 * minuteMs;
/** A load that should have come in so long ago may still come, and counts as coming now (assumed). */
const lateMs = hourMs;

/** Whether a load was in its room at an instant: what ended was carried off. */
const stoodAt = ({ hasBegun, stage, at, endedAt }: UnloadState, t: EpochMs): boolean =>
  hasBegun && stage !== 'withdrawn' && at <= t && (endedAt === null || endedAt > t);

/** Whether a load that is scheduled is the very one that is asked about: at its hour, or now that this is past. */
const isAsked = ({ load, at }: UnloadState, asked: UnloadQuestion, now: EpochMs): boolean =>
  (at === asked.at || (at <= now && (asked.at ?? now) <= now)) &&
  load.container === asked.load.container &&
  load.count === asked.load.count;

interface About {
  /** The unload that is asked about, which is no load that was there before. */
  id?: string;
  /** It is long past, with other bags about it. */
  isPast?: boolean;
  /** What it does by itself: loads that are to come in are left out. */
  alone: true;
}

/** Puts together all that a plan is made of. */
export function createGather(needs: GatherNeeds) {
  return async (
    question: UnloadQuestion,
    now: EpochMs,
    about?: About,
  ): Promise<Omit<PlanInput, 'localHour'>> => {
    const { room, load, options, at } = question;
    const farm = needs.farm();
    checkLoad(farm, room, load);
    const container = farm.containers.get(load.container)!;
    if (at !== null && at < now - agoMs)
      throw new AppError('out-of-range', 'That hour is over. Ask for now, or for an hour that lies ahead.');
    if (at !== null && at > now + comingHours * hourMs)
      throw new AppError(
        'out-of-range',
        `A plan reaches ${comingHours} hours ahead: what the room does later is not known. Ask for an earlier hour, or schedule it and look again a day before.`,
      );
    const measured = { farm, room, now, history: needs.history };
    const recent = { ...recentAir(measured), cooling: coolingNow(measured) };
    const shelfAboveRoomK = await needs.shelfDifferences.of(farm, room, recent, now);
    const earlier = needs.unloads().flatMap((one): EarlierLoad[] => {
      const its = farm.containers.get(one.load.container);
      const stands = one.room === room && one.id !== about?.id && stoodAt(one, now);
      return stands && its !== undefined ? [{ load: one.load, container: its, at: one.at }] : [];
    });
    const scheduled = needs.unloads().flatMap((one): ScheduledLoad[] => {
      const its = farm.containers.get(one.load.container);
      const comes = one.room === room && one.stage === 'scheduled' && one.at >= now - lateMs;
      if (about?.alone || !comes || its === undefined || isAsked(one, question, now)) return [];
      return [{ load: one.load, container: its, at: one.at, fan: one.options.fan }];
    });
    return {
      ...{ room, load, container, options, now, at: Math.max(now, at ?? now), recent, earlier, scheduled },
      fit: needs.fitOf(room, now),
      bagsW: needs.bagsW(room, now),
      alarms: about?.isPast ? [] : needs.alarms(room),
      belief: needs.beliefOf(load.container),
      limits: warmLimitsOf(farm, room),
      cohorts: standingIn({
        ...{ farm, room, shelfAboveRoomK },
        batches: needs.batches(),
        forecasts: about?.isPast ? [] : needs.forecasts(),
      }),
      inoculateBelowC: farm.file.unloads.inoculateBelowC,
    };
  };
}
export type Gather = ReturnType<typeof createGather>;
