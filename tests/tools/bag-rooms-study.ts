import { createKinds } from '../../collector/forecast/kind.ts';
import { heatOfBatch, hourOf, shelfAtTime } from '../../collector/rooms/bag-heat.ts';
import { deriveBatch } from '../../shared/batches/derive-batch.ts';
import { buildFarm } from '../../shared/farm/farm.ts';
import { groupBy } from '../../shared/group-by.ts';
import { firstBelief } from '../../shared/growth/belief.ts';
import { unknownEye } from '../../shared/growth/look.ts';
import { builtInSpecies } from '../../shared/growth/species.ts';
import { courseOf } from '../../shared/room/course.ts';
import { defaultRoom } from '../../shared/room/default-room.ts';
import { outputOf, usualAnswers } from '../../shared/room/driven.ts';
import { fitRoom } from '../../shared/room/fit-room.ts';
import { gridMs, gridOf, type RoomHistory } from '../../shared/room/history.ts';
import { lossWPerK } from '../../shared/room/model.ts';
import { meanRoom } from '../../shared/room/room-fit.ts';
import { bagsBesideW } from '../../shared/room/with-bags.ts';
import { dayMs, hourMs, minuteMs } from '../../shared/time.ts';
import { type BagRoom, bagRooms, truthEveryMs } from '../../simulator/studies/bag-rooms.ts';
import { atOnce } from './at-once.ts';

/** Heat of the room's bags in each hour as the collector would tell it from its record [W]. */
function toldHeat({ farm: file, from, airC, events }: BagRoom): Float64Array {
  const farm = buildFarm(file, builtInSpecies);
  const kindOf = createKinds(farm);
  const hours = airC.length / 60;
  const firstHour = hourOf(from);
  let last = 22;
  const hourC = Float64Array.from({ length: hours }, (_, hour) => {
    const known = airC.subarray(60 * hour, 60 * hour + 60).filter(Number.isFinite);
    if (known.length > 0) last = known.reduce((sum, c) => sum + c, 0) / known.length;
    return last;
  });
  const heatW = new Float64Array(hours);
  for (const list of groupBy(events, ({ batch }) => batch).values()) {
    const batch = deriveBatch(list, 'all')!;
    const kind = kindOf(batch);
    if (typeof kind === 'string') throw new Error(kind);
    const believed = { belief: firstBelief, eyeOf: () => unknownEye };
    const work = heatOfBatch(
      { batch, kind, ...believed },
      firstHour + hours - 1,
      (_, hour) => hourC[hour - firstHour]!,
    );
    for (const { cohort, firstHour: made, heatW: own } of atOnce(work))
      own.forEach((w, place) => {
        const hour = made + place;
        if (shelfAtTime(cohort, (hour + 0.5) * hourMs) !== null) heatW[hour - firstHour]! += w;
      });
  }
  return heatW;
}

const meanOf = (values: ArrayLike<number>): number =>
  Array.from(values).reduce((sum, value) => sum + value, 0) / values.length;

/**
 * What a fit misses by: the part of the cooler's capacity that the days after it took; the room's own gain [W]; its
 * loss, as a part of itself.
 */
export interface Missed {
  share: number;
  gainW: number;
  loss: number;
}
/** Days at the end that no fit knows. */
const heldOutDays = 3;

/** A room learned with the heat of its bags among its gains, and beside them. */
interface BothWays {
  without: Missed;
  withBags: Missed;
}

/** Whether it is known when the cooler ran. */
type Way = 'told' | 'untold';

interface BagRoomResult {
  standingW: number;
  /** Part of the cooler's capacity that the last days took. */
  ran: number;
  /** True and told heat of bags: means over the record [W]. */
  trueW: number;
  toldW: number;
  /** How the two go together, over parts of a day. */
  correlation: number;
  missed: Partial<Record<Way, BothWays>>;
}

function correlationOf(a: ArrayLike<number>, b: ArrayLike<number>): number {
  const [meanA, meanB] = [meanOf(a), meanOf(b)];
  let [ab, aa, bb] = [0, 0, 0];
  for (let i = 0; i < a.length; i++) {
    ab += (a[i]! - meanA) * (b[i]! - meanB);
    aa += (a[i]! - meanA) ** 2;
    bb += (b[i]! - meanB) ** 2;
  }
  return ab / Math.sqrt(aa * bb);
}

function bagRoomResult(room: BagRoom, ways: readonly Way[]): BagRoomResult {
  const { built, airC, outsideC, from } = room;
  const told = toldHeat(room);
  const perTruth = truthEveryMs / hourMs;
  const toldThen = room.bagsW.map((_, k) => meanOf(told.subarray(k * perTruth, (k + 1) * perTruth)));
  const learnedFrom = airC.length - (heldOutDays * dayMs) / minuteMs;
  const prior = defaultRoom(room.floorAreaM2, built.coolingW);
  const leakWPerK = (built.volumeM3 * 1.19 * 1_006 * built.airChangesPerHour) / 3_600;
  const trueLoss = lossWPerK({ ...meanRoom(prior), ...built, leakWPerK });
  const on = Float64Array.from(room.coolerOn.subarray(learnedFrom));
  const ran = meanOf(outputOf({ on, stepMin: 1 }, usualAnswers.buildsUpMin, gridMs / minuteMs));
  const heatW = Float64Array.from({ length: airC.length }, (_, minute) => told[Math.floor(minute / 60)]!);
  const missed = (bagsW: Float64Array | null, coolerOn: Float32Array | null): Missed => {
    const whole: RoomHistory = {
      ...{ from, stepMs: minuteMs, airC, outsideC, coolerOn, bagsW, loads: [] },
      localHour: (t) => (t % dayMs) / hourMs,
    };
    const learned = <T extends Float64Array | Float32Array>(values: T) => values.subarray(0, learnedFrom);
    const fit = fitRoom(
      {
        ...{ ...whole, airC: learned(airC), outsideC: learned(outsideC) },
        ...{ coolerOn: coolerOn && learned(coolerOn), bagsW: bagsW && learned(bagsW) },
      },
      prior,
    );
    const found = meanRoom(fit);
    const given = bagsW?.map((toldW) => bagsBesideW(fit, toldW));
    const { used } = courseOf(found, null, gridOf({ ...whole, bagsW: given ?? null }), []);
    const runs = meanOf(used.subarray((learnedFrom * minuteMs) / gridMs).map((part) => Math.max(0, part)));
    return {
      share: Math.abs(runs - ran),
      gainW: Math.abs(found.gainW - built.standingW),
      loss: Math.abs(Math.log(lossWPerK(found) / trueLoss)),
    };
  };
  const bothWays = (coolerOn: Float32Array | null): BothWays => ({
    without: missed(null, coolerOn),
    withBags: missed(heatW, coolerOn),
  });
  return {
    ...{ standingW: built.standingW, ran },
    ...{ trueW: meanOf(room.bagsW), toldW: meanOf(told), correlation: correlationOf(room.bagsW, toldThen) },
    missed: Object.fromEntries(ways.map((way) => [way, bothWays(way === 'told' ? room.coolerOn : null)])),
  };
}

/** Rooms in which bags come and go, learned without and with what is told of the heat of their bags. */
export const bagRoomsStudy = (study: Parameters<typeof bagRooms>[0], ways: readonly Way[]): BagRoomResult[] =>
  [...bagRooms(study)].map((room) => bagRoomResult(room, ways));
