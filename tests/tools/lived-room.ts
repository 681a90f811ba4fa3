import { defaultRoom } from '../../shared/room/default-room.ts';
import { ownGains, roomRun } from '../../shared/room/model.ts';
import { fromVector, type RoomParams, roomParamNames, toVector } from '../../shared/room/params.ts';
import { isWorkingHour, meanRoom, type RoomFit } from '../../shared/room/room-fit.ts';
import type { RoomsKnown } from '../../shared/room/rooms-known.ts';
import { normalDraws } from '../../shared/stats/normal-draws.ts';
import { dayMs, type EpochMs, hourMs, minuteMs } from '../../shared/time.ts';

/** A room kept at 22 °C by a cooler with something to spare, and what twenty days would have taught of it. */
const livedParams: RoomParams = fromVector(
  toVector({
    ...meanRoom(defaultRoom(20, 2_500, { setC: 22 })),
    gainW: 900,
    coolingW: 1_200,
    heatBelowC: 20,
  }),
);
export const livedFit: RoomFit = {
  ...defaultRoom(20, 2_500, { setC: 22 }),
  mean: toVector(livedParams),
  covariance: roomParamNames.flatMap((_, row) =>
    roomParamNames.map((__, column) => (row === column ? 0.05 ** 2 : 0)),
  ),
  residual: { sdK: 0.15, lastsS: 3_600 },
  trainedDays: 20,
  notIdentified: [],
  notes: [],
};

export const dayHour = (t: EpochMs): number => (((t % dayMs) + dayMs) % dayMs) / hourMs;

/** A fit known from an instant on. */
export const knows = (fit: RoomFit | null, since = Number.NEGATIVE_INFINITY): RoomsKnown => ({
  fitAt: (_, t) => (t >= since ? fit : null),
  loadsAt: () => [],
  bagsW: () => null,
  localHour: dayHour,
});

/** Its air each minute from `from` on, as a sensor has it [°C]. */
export function livedAir({
  from,
  minutes,
  outsideC,
  cooling = () => 1,
  noiseK = 0.05,
}: {
  from: EpochMs;
  minutes: number;
  outsideC: (t: EpochMs) => number;
  /** Part of the cooler's capacity that is to be had. */
  cooling?: (t: EpochMs) => number;
  noiseK?: number;
}): { t: EpochMs; tempC: number; trueC: number }[] {
  const normal = normalDraws(5);
  const run = roomRun(livedParams, { airC: 22, structureC: 22 }, 60);
  return Array.from({ length: minutes }, (_, minute) => {
    const t = from + minute * minuteMs;
    const own = ownGains(livedParams, isWorkingHour(dayHour(t)));
    run.step(outsideC(t), own.airW, own.wallW, cooling(t));
    return { t, trueC: run.airC, tempC: run.airC + noiseK * normal() };
  });
}
