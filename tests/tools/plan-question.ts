import type { Container } from '../../shared/farm/schema.ts';
import { defaultRoom } from '../../shared/room/default-room.ts';
import type { RoomFit } from '../../shared/room/room-fit.ts';
import { dayMs, hourMs, minuteMs } from '../../shared/time.ts';
import type { PlanInput, StandingCohort } from '../../shared/unload/plan-input.ts';

export const planNow = Date.UTC(2026, 3, 8, 9, 10);

export const block: Container = {
  id: 'block',
  name: 'block',
  kind: 'block',
  shape: { form: 'brick', widthM: 0.1, depthM: 0.14, heightM: 0.2 },
  massKg: 2,
  volumeL: 2.8,
  moisture: 0.6,
  shakeable: false,
};
const bag: Container = {
  id: 'bag',
  name: 'grain bag',
  kind: 'bag',
  shape: { form: 'cylinder', diameterM: 0.14, heightM: 0.24 },
  massKg: 2.3,
  volumeL: 3.5,
  moisture: 0.5,
  shakeable: true,
};
const jar: Container = {
  ...bag,
  id: 'jar',
  kind: 'jar',
  shape: { form: 'cylinder', diameterM: 0.09, heightM: 0.15 },
  massKg: 0.6,
};

/** A fit that history has made surer, each parameter to a part of what is not known of a room. */
export function surer(fit: RoomFit, part: number): RoomFit {
  return {
    ...fit,
    covariance: fit.covariance.map((value) => value * part * part),
    residual: { sdK: 0.25, lastsS: 5400 },
    trainedDays: 14,
    unloads: 3,
    notIdentified: [],
  };
}

/** Cohorts on four racks of five shelves, top shelves warmer, of three containers and three species. */
export const cohortsOf = (count: number): StandingCohort[] =>
  Array.from({ length: count }, (_, index) => {
    const rack = `R${1 + (index % 4)}`;
    const shelf = Math.floor(index / 4) % 5;
    const [warmLimitC, heatLimitC] = [
      [30, 36],
      [28, 33],
      [33, 38],
    ][index % 3] as [number, number];
    return {
      ...{ cohort: `B${index}/1`, batch: `B${index}`, rack, shelf: `${rack}-${shelf + 1}` },
      ...{ container: [bag, jar, block][index % 3]!, warmLimitC, heatLimitC },
      coreC: 24 + (index % 7) / 3,
      shelfAboveRoomK: 0.8 - 0.4 * shelf,
      memoryHours: index % 11 === 0 ? 0.8 : 0,
    };
  });

/** Loads of blocks besides the one asked about: one that came three hours ago, and two that are scheduled. */
export const otherLoads: Pick<PlanInput, 'earlier' | 'scheduled'> = {
  earlier: [
    { load: { container: 'block', count: 60, startC: 96 }, container: block, at: planNow - 3 * hourMs },
  ],
  scheduled: [2, 6].map((hours) => ({
    ...{ load: { container: 'block', count: 40, startC: null }, container: block },
    ...{ at: planNow + hours * hourMs, fan: hours === 6 },
  })),
};

/** A question to the planner about a room of 20 m2 at 22 °C, of which two days were measured. */
export function planQuestion(change: Partial<PlanInput> & { count?: number } = {}): PlanInput {
  const { count = 60, ...rest } = change;
  const steps = (2 * dayMs) / (5 * minuteMs);
  return {
    room: 'spawn',
    load: { container: 'block', count, startC: null },
    container: block,
    options: { fan: false, extraCoolingW: 0 },
    now: planNow,
    at: planNow,
    fit: surer(defaultRoom(20, 3000), 0.35),
    recent: {
      firstT: planNow - steps * 5 * minuteMs,
      stepMs: 5 * minuteMs,
      airC: Float64Array.from({ length: steps }, (_, step) => 22.3 + 0.2 * Math.sin(step / 3)),
      outsideC: Float64Array.from(
        { length: steps },
        (_, step) => 15 + 5 * Math.sin((2 * Math.PI * step) / 288),
      ),
    },
    limits: [
      { name: 'high limit', limitC: 28 },
      { name: 'outer high limit', limitC: 34 },
    ],
    cohorts: cohortsOf(12),
    earlier: [],
    inoculateBelowC: 27,
    localHour: (t) => (t % dayMs) / hourMs,
    ...rest,
  };
}
