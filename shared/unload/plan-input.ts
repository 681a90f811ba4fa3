import type { Container } from '../farm/schema.ts';
import type { RoomFit } from '../room/room-fit.ts';
import type { EpochMs } from '../time.ts';
import type { HotLoad, UnloadOptions } from '../unloads.ts';
import type { LoadBelief } from './load-belief.ts';

/** Bags that stand in the room, of one batch and history. */
export interface StandingCohort {
  cohort: string;
  batch: string;
  shelf: string;
  rack: string;
  container: Container;
  /** Core now [°C], and how much warmer the air at its shelf usually is than the room's [K]. */
  coreC: number;
  shelfAboveRoomK: number;
  /** Limits of its species [°C]. */
  warmLimitC: number;
  heatLimitC: number;
  /** Exposure in memory now [equivalent h]. */
  memoryHours: number;
}

/** A limit of the room's air while the unload lasts. */
export interface RoomLimit {
  /** As it reads in a sentence: `high limit`. */
  name: string;
  limitC: number;
  /** No more may come in than keeps the air under it; unless so, it is only told for how long it is passed. */
  keep?: boolean;
}

/** A load that stands in the room already and still warms it. */
export interface EarlierLoad {
  load: HotLoad;
  container: Container;
  at: EpochMs;
}

/** Another load that is to come into the room, before the one asked about or while that one cools. */
export interface ScheduledLoad extends EarlierLoad {
  /** A fan is to blow at it. */
  fan: boolean;
}

/** Room air as it was measured, evenly spaced and oldest first; gaps are NaN. */
export interface RecentAir {
  firstT: EpochMs;
  stepMs: number;
  airC: Float64Array;
  /** Outside air at the same instants where a sensor tells it; NaN where not. */
  outsideC: Float64Array;
  /** Whether the room's cooler runs now, of several the part of them that do, 0 to 1; null, or left out, where nothing tells. */
  cooling?: number | null;
}

/** All that a plan of an unload is made of. Plain data but for `localHour`. */
export interface PlanInput {
  room: string;
  load: HotLoad;
  container: Container;
  options: UnloadOptions;
  now: EpochMs;
  /** When it comes in, `now` or later. */
  at: EpochMs;
  fit: RoomFit;
  /** What loads of this container taught; of its film the room's own is used. */
  belief?: LoadBelief;
  /** The last two days; empty where no sensor tells the room's air. */
  recent: RecentAir;
  limits: readonly RoomLimit[];
  cohorts: readonly StandingCohort[];
  /** Heat that bags in the room give now [W]; null, or left out, where nobody knows. */
  bagsW?: number | null;
  earlier: readonly EarlierLoad[];
  /** Titles of alarms that stand and say that the room is not held as it was; none unless given. */
  alarms?: readonly string[];
  /** None unless given. */
  scheduled?: readonly ScheduledLoad[];
  inoculateBelowC: number;
  /** Hour of the local day, 0 to 24, at an instant. */
  localHour: (t: EpochMs) => number;
}
