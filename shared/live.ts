import { z } from 'zod';
import { derivedQuantity } from './air/derived.ts';
import { alarmView } from './alarms.ts';
import { batchState } from './batches.ts';
import { cohortForecast } from './forecasts.ts';
import { liveValue, quantity } from './readings.ts';
import { unloadsLive } from './unloads.ts';

/** Which kind of site a screen shows; a training run must never be mistaken for the farm. */
export const siteKind = z.enum(['farm', 'demo', 'training']);
export type SiteKind = z.infer<typeof siteKind>;

/** Something a person should know that is not an alarm: a refused farm file, a broker that is away. */
export const notice = z.object({ id: z.string(), text: z.string(), since: z.number() });
export type Notice = z.infer<typeof notice>;

const limitPair = z.object({ low: z.number().nullable(), high: z.number().nullable() });

/** The farm's structure as screens need it; holds no secret and no address of a person. */
export const farmView = z.object({
  /** Grows with each accepted reload. */
  version: z.number(),
  site: z.object({ id: z.string(), name: z.string(), timeZone: z.string() }),
  rooms: z.array(
    z.object({
      id: z.string(),
      name: z.string(),
      limits: z.object({ temperature: limitPair, humidity: limitPair }),
      /** Channels hanging in the room at large. */
      channels: z.array(z.string()),
      racks: z.array(
        z.object({
          id: z.string(),
          name: z.string(),
          shelves: z.array(z.object({ id: z.string(), places: z.number(), channels: z.array(z.string()) })),
        }),
      ),
    }),
  ),
  channels: z.array(
    z.object({
      id: z.string(),
      quantity,
      unit: z.string(),
      sensor: z.string(),
      room: z.string(),
      shelf: z.string().nullable(),
      everyS: z.number(),
      /** Of a probe that the farm file gives a place: in a bag of a batch, or in hot loads of its room. */
      stands: z.enum(['bag', 'loads']).optional(),
    }),
  ),
  /** Series that are computed from temperature and humidity of one place: asked for like channels. */
  derived: z.array(
    z.object({
      id: z.string(),
      quantity: derivedQuantity,
      unit: z.string(),
      sensor: z.string(),
      room: z.string(),
      shelf: z.string().nullable(),
      everyS: z.number(),
    }),
  ),
  species: z.array(z.object({ id: z.string(), name: z.string(), latin: z.string() })),
  strains: z.array(z.object({ id: z.string(), name: z.string(), species: z.string() })),
  containers: z.array(z.object({ id: z.string(), name: z.string(), kind: z.enum(['bag', 'jar', 'block']) })),
});
export type FarmView = z.infer<typeof farmView>;

/** Health of one part, for the Farm screen and /health. */
export const partHealth = z.object({
  part: z.string(),
  state: z.enum(['ok', 'waiting', 'failed']),
  text: z.string(),
  since: z.number(),
});
export type PartHealth = z.infer<typeof partHealth>;

/** A training run's own clock and controls. */
export const runState = z.object({
  week: z.string(),
  speed: z.number(),
  paused: z.boolean(),
  startedAt: z.number(),
  endsAt: z.number(),
  ended: z.boolean(),
});
export type RunState = z.infer<typeof runState>;

/** Everything a screen needs at once; what follows on the stream are slices of it. */
export const liveState = z.object({
  kind: siteKind,
  now: z.number(),
  farm: farmView,
  channels: z.record(z.string(), liveValue),
  alarms: z.array(alarmView),
  batches: z.array(batchState),
  forecasts: z.array(cohortForecast),
  unloads: unloadsLive,
  notices: z.array(notice),
  parts: z.array(partHealth),
  run: runState.nullable(),
});
export type LiveState = z.infer<typeof liveState>;

/**
 * One message of the stream: the slices that changed. `channels` and `forecasts` hold only changed
 * entries, to be laid over what is known; `batches` and the others replace theirs whole.
 */
export const liveChange = z.object({
  now: z.number(),
  farm: farmView.optional(),
  channels: z.record(z.string(), liveValue).optional(),
  alarms: z.array(alarmView).optional(),
  batches: z.array(batchState).optional(),
  forecasts: z.array(cohortForecast).optional(),
  /** Cohorts that are no more. */
  endedCohorts: z.array(z.string()).optional(),
  unloads: unloadsLive.optional(),
  notices: z.array(notice).optional(),
  parts: z.array(partHealth).optional(),
  run: runState.nullable().optional(),
});
export type LiveChange = z.infer<typeof liveChange>;
