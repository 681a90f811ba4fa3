import { jointAir } from '../../shared/air/joint-air.ts';
import { coolerChannels, roomAirChannels } from '../../shared/air/room-channels.ts';
import { type Farm, outsidePlace } from '../../shared/farm/farm.ts';
import type { Container } from '../../shared/farm/schema.ts';
import { type Thermal, thermalOf } from '../../shared/heat/container.ts';
import { heldBySteps, holdMsOf, meansOfKnown, type ToldStates } from '../../shared/held-state.ts';
import type { PastLoad, RoomHistory } from '../../shared/room/history.ts';
import { median } from '../../shared/stats/robust.ts';
import { dayMs, type EpochMs, hourMs, minuteMs } from '../../shared/time.ts';
import { recordedStartC } from '../../shared/unload/start.ts';
import { bySteps } from '../store/by-steps.ts';
import type { Minutes, StoreHistory } from '../store/history.ts';

/** What a room is learned from reaches back so far. */
const learnedFromMs = 30 * dayMs;
/** Sensors that speak less often than this are taken in steps of five minutes. */
const fineMs = 2 * minuteMs;
const coarseStepMs = 5 * minuteMs;

/** An unload as it is on record. */
export interface RecordedLoad {
  room: string;
  at: EpochMs;
  endedAt: EpochMs | null;
  container: string;
  count: number;
  startC: number | null;
  fan: boolean;
  cores: readonly { t: EpochMs; tempC: number }[];
}

export type RoomPast = Omit<RoomHistory, 'localHour'> & {
  /** Part of each step for which the room's cooler ran, 0 to 1; NaN where not known, null where nothing tells it well enough. */
  coolerOn: Float64Array | null;
};

interface PastNeeds {
  farm: Farm;
  room: string;
  now: EpochMs;
  history: Pick<StoreHistory, 'readMinutes' | 'readStates'>;
  loads: readonly RecordedLoad[];
  /** Film of a load that a fan blows at, against the same without. */
  fanFilm: number;
  /** Heat that the room's bags gave at an instant [W]; null where nobody knows. */
  bagsW: (t: EpochMs) => number | null;
}

/** Over sensors, of each step; NaN where none of them spoke. */
const together = (series: readonly Minutes[], from: EpochMs, stepMs: number, steps: number): Float64Array =>
  jointAir(
    series.map((one) => bySteps(one, steps, (at) => Math.floor((at - from) / stepMs))),
    hourMs / stepMs,
  );

const usualGapMs = ({ t }: Minutes): number =>
  t.length < 3 ? Number.POSITIVE_INFINITY : median(t.subarray(1).map((at, k) => at - t[k]!));

/** A cooler that is asked less often than this is caught at its switchings by chance [ms]. */
const catchesMs = 1.5 * minuteMs;
/** Gaps between messages within this part of the usual are of its period. */
const alikePart = 0.1;

/**
 * Whether messages tell when a state changed: often enough, or at the changes themselves. A sensor that speaks when it
 * switches comes out of its period then; of one that only keeps its period most changes come in time with it.
 */
function tellsChanges({ t, value }: ToldStates): boolean {
  const gaps = Array.from({ length: Math.max(0, t.length - 1) }, (_, k) => t[k + 1]! - t[k]!);
  if (gaps.length < 2) return true;
  const usual = median(gaps);
  if (usual <= catchesMs) return true;
  const atChanges = gaps.filter((_, k) => value[k + 1] !== value[k]);
  const inTime = atChanges.filter((gap) => Math.abs(gap - usual) <= alikePart * usual).length;
  return 2 * inTime <= atChanges.length;
}

/** Part of each step for which a room's coolers ran, the mean of several. */
function coolerOf(
  { farm, room, history }: PastNeeds,
  span: { from: EpochMs; stepMs: number; steps: number },
): Pick<RoomPast, 'coolerOn' | 'coolerSeldom'> {
  const { from, stepMs, steps } = span;
  const until = from + steps * stepMs;
  const told = coolerChannels(farm, room).flatMap(({ id, sensor }) => {
    const holdMs = holdMsOf(sensor.everyS);
    const states = history.readStates(id, from - holdMs, until);
    return states.t.length === 0 ? [] : [{ states, holdMs }];
  });
  if (told.length === 0) return { coolerOn: null };
  if (!told.every(({ states }) => tellsChanges(states))) return { coolerOn: null, coolerSeldom: true };
  const shares = told.map(({ states, holdMs }) => heldBySteps(states, span, holdMs));
  return { coolerOn: meansOfKnown(shares, steps).map((percent) => percent / 100) };
}

/** What was found once of a container; the modes of its loads hang on this object. */
const thermals = new WeakMap<Container, Thermal>();

function thermalKept(container: Container): Thermal {
  const thermal = thermals.get(container) ?? thermalOf(container);
  thermals.set(container, thermal);
  return thermal;
}

/** A recorded load as a room's history takes it; nothing where its container is no longer of the farm. */
export function pastLoads(farm: Farm, loads: readonly RecordedLoad[], fan: number): PastLoad[] {
  return loads.flatMap((load) => {
    const container = farm.containers.get(load.container);
    if (container === undefined) return [];
    return {
      ...{ at: load.at, until: load.endedAt, cores: load.cores },
      load: { thermal: thermalKept(container), count: load.count, startC: recordedStartC(load.startC) },
      filmTimes: load.fan ? fan : 1,
    };
  });
}

/** Heat of the room's bags in each step; null unless it is known of all. */
function bagsOf({ bagsW }: PastNeeds, from: EpochMs, stepMs: number, steps: number): Float64Array | null {
  const known = Float64Array.from(
    { length: steps },
    (_, k) => bagsW(from + (k + 0.5) * stepMs) ?? Number.NaN,
  );
  return known.every(Number.isFinite) ? known : null;
}

/**
 * The last thirty days of a room as its sensors told them, with the hot loads that stood in it; null where no
 * sensor tells its air, or none did in that time.
 */
export function pastOf(needs: PastNeeds): RoomPast | null {
  const { farm, room, now, history, loads, fanFilm } = needs;
  const until = Math.floor(now / coarseStepMs) * coarseStepMs;
  const read = (id: string, from: EpochMs) => history.readMinutes(id, from, until);
  const air = roomAirChannels(farm, room)
    .map(({ id }) => read(id, until - learnedFromMs))
    .filter(({ t }) => t.length > 0);
  if (air.length === 0) return null;
  const first = Math.min(...air.map(({ t }) => t[0]!));
  const from = Math.ceil(first / coarseStepMs) * coarseStepMs;
  const stepMs = Math.min(...air.map(usualGapMs)) <= fineMs ? minuteMs : coarseStepMs;
  const steps = Math.max(0, Math.floor((until - from) / stepMs));
  const outside = roomAirChannels(farm, outsidePlace)
    .map(({ id }) => read(id, from))
    .filter(({ t }) => t.length > 0);
  return {
    ...{ from, stepMs, airC: together(air, from, stepMs, steps) },
    bagsW: bagsOf(needs, from, stepMs, steps),
    ...coolerOf(needs, { from, stepMs, steps }),
    outsideC: outside.length > 0 ? together(outside, from, stepMs, steps) : null,
    loads: pastLoads(
      farm,
      loads.filter((load) => load.room === room && load.at >= from),
      fanFilm,
    ),
  };
}
