import type { BatchState } from '../../shared/batches.ts';
import type { FarmFile } from '../../shared/farm/schema.ts';
import type { CohortCurve, ShelfAirSeries } from '../../shared/forecasts.ts';
import type { BatchTraits, Beliefs } from '../../shared/growth/belief.ts';
import type { ShelfAirQuestion } from '../../shared/ports.ts';
import type { ComingWarmth } from './coming.ts';
import type { Advanced } from './engine.ts';
import type { RoomDepartures } from './explained-air.ts';

/** Readings of one channel, ready to be handed over. */
export interface ChannelReadings {
  channel: string;
  t: Float64Array;
  value: Float64Array;
  /** Readings that each value is the mean of; one each without it. */
  count?: Float64Array;
  /** Estimated from what somebody wrote down. */
  byHand?: boolean;
}

/** What the site tells the computation, wherever that runs. */
export type ToEngine =
  | { kind: 'farm'; file: FarmFile }
  | { kind: 'batches'; batches: BatchState[]; whole: boolean }
  | { kind: 'readings'; readings: ChannelReadings[] }
  | { kind: 'advance'; now: number }
  | { kind: 'beliefs'; beliefs: Beliefs }
  | { kind: 'coming'; coming: readonly ComingWarmth[] }
  | { kind: 'departures'; departures: RoomDepartures }
  | { kind: 'curve'; question: number; cohort: string }
  | { kind: 'air'; question: number; about: ShelfAirQuestion }
  | { kind: 'traits'; question: number; batch: BatchState };

export type FromEngine =
  | ({ kind: 'advanced' } & Advanced)
  /** `why` in words where there is no answer. */
  | { kind: 'curve'; question: number; answer: CohortCurve | undefined; why: string }
  | { kind: 'air'; question: number; answer: ShelfAirSeries | undefined; why: string }
  | { kind: 'traits'; question: number; answer: BatchTraits | undefined; why: string }
  /** Something threw that no batch is to blame for; the computation stands as it was. */
  | { kind: 'fault'; text: string };
