import { z } from 'zod';
import { AppError } from '../errors.ts';
import { normalDraws } from '../stats/normal-draws.ts';
import { inRange } from '../stats/range.ts';
import { choleskyRoot } from '../stats/symmetric.ts';
import { hourMs } from '../time.ts';
import { fromVector, type RoomParams, roomParamNames } from './params.ts';

const size = roomParamNames.length;
const paramName = z.enum(roomParamNames as [string, ...string[]]);

/**
 * What came of a cooler's own signal: it taught the room, or why it could not. `seldom`: its switchings are caught by
 * chance. `gaps`: it is known for too little of the time. `air-seldom`: the air beside it is told too seldom.
 * `never-ran`: it tells of nothing but rest.
 */
export const coolerSignal = z.enum(['taught', 'seldom', 'gaps', 'air-seldom', 'never-ran']);
export type CoolerSignal = z.infer<typeof coolerSignal>;

/** What is known of a room. Plain data: store it, send it to a worker. */
export const roomFit = z
  .strictObject({
    /** In the order of `roomParamNames`; temperatures as they are, logs of the rest. */
    mean: z.array(z.number()).length(size),
    /** Covariance of the same, row after row. */
    covariance: z.array(z.number()).length(size * size),
    /** How far air lies from what is predicted, and how long it stays so, as a first-order process. */
    residual: z.strictObject({ sdK: z.number().positive(), lastsS: z.number().positive() }),
    /** Days of history that taught it; 0 for a default. */
    trainedDays: z.number().min(0),
    /** Unloads among them. */
    unloads: z.number().int().min(0),
    /** Left out where nothing tells of its cooler, and of fits of before anybody asked. */
    coolerSignal: coolerSignal.optional(),
    /** Parameters that this history says nothing of: they stand as they were assumed. */
    notIdentified: z.array(paramName),
    /** Outside air by hour of the local day [°C], and where it comes from. */
    outside: z.strictObject({
      from: z.enum(['sensor', 'learned', 'assumed']),
      hoursC: z.array(z.number()).length(24),
      sdK: z.number().positive(),
    }),
    /**
     * Heat of bags, told all through the history and no part of the gains: what they give against what is told of
     * them, and what they gave at its end [W]. Absent where nothing was told: then the gains have the bags of those
     * days in them.
     */
    bags: z.strictObject({ factor: z.number().positive(), endW: z.number().min(0) }).optional(),
    /** What a person should know of it, in sentences. */
    notes: z.array(z.string()),
  })
  .refine(({ covariance }) => choleskyRoot(covariance) !== undefined, {
    message: 'covariance must be symmetric and positive definite',
    path: ['covariance'],
  });
export type RoomFit = z.infer<typeof roomFit>;

/** The likeliest room. */
export const meanRoom = (fit: RoomFit): RoomParams => fromVector(fit.mean);

/**
 * Rooms that this one may be, one for each point of standard normal numbers, a number for each parameter.
 * @throws AppError 'out-of-range' for a covariance that is none.
 */
export function roomsAt(fit: RoomFit, points: readonly ArrayLike<number>[]): RoomParams[] {
  const root = choleskyRoot(fit.covariance);
  if (root === undefined)
    throw new AppError('out-of-range', 'the covariance of a room is not symmetric and positive definite');
  return points.map((point) =>
    fromVector(
      fit.mean.map((mean, row) => {
        let away = 0;
        for (let k = 0; k <= row; k++) away += root[row * size + k]! * point[k]!;
        return mean + away;
      }),
    ),
  );
}

/**
 * Rooms that this one may be, drawn in mirrored pairs so that their mean is the fit's; same seed, same rooms.
 * @param count 1 to 10,000 @throws AppError 'out-of-range' for another, or a covariance that is none.
 */
export function drawRooms(fit: RoomFit, count: number, seed: number): RoomParams[] {
  inRange('rooms to draw', count, 1, 10_000);
  const normal = normalDraws(seed);
  const points: number[][] = [];
  while (points.length < count) {
    const draw = roomParamNames.map(normal);
    points.push(
      draw,
      draw.map((value) => -value),
    );
  }
  return roomsAt(fit, points.slice(0, count));
}

/** Outside air as the fit knows it at an hour of the local day, 0 to 24, straight between the middles of hours [°C]. */
export function usualOutsideC({ outside }: Pick<RoomFit, 'outside'>, localHour: number): number {
  const place = (localHour + 23.5) % 24;
  const before = Math.floor(place);
  const { hoursC } = outside;
  return hoursC[before]! + (place - before) * (hoursC[(before + 1) % 24]! - hoursC[before]!);
}

/** The weather keeps off its usual day for about so long: what is left of a departure falls to 1/e of it (assumed). */
export const weatherLastsMs = 36 * hourMs;

/** Working hours of the local day, in which lamps are on and people about (assumed). */
export const isWorkingHour = (localHour: number): boolean => localHour >= 8 && localHour < 17;
