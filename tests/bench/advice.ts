import { doseRate, heatAllowanceHours, remembered } from '../../shared/growth/dose.ts';
import { thermalOf } from '../../shared/heat/container.ts';
import { evenCore, stepCoreChain } from '../../shared/heat/core-chain.ts';
import { defaultRoom } from '../../shared/room/default-room.ts';
import { fitRoom } from '../../shared/room/fit-room.ts';
import { meanOfKnown } from '../../shared/stats/mean.ts';
import { dayMs, minuteMs } from '../../shared/time.ts';
import { planUnload } from '../../shared/unload/plan.ts';
import type { StandingCohort } from '../../shared/unload/plan-input.ts';
import { type UnloadCase, unloadRooms } from '../../simulator/studies/unload-rooms.ts';
import { historyOf } from '../tools/unload-study.ts';
import type { Figure } from './figure.ts';

const rooms = 24;
/** Not looked at while the planner was made. */
const seed = 20_261_202;
const recentMin = 2 * 24 * 60;

/** Bags at the room's sensor, as warm as it was and a degree more, that stand four kelvins to eleven more. */
function cohortsIn({ farm, past }: UnloadCase): StandingCohort[] {
  const nowC = meanOfKnown(past.airC.slice(-60));
  return farm.containers.map((container, index) => ({
    ...{ cohort: `${container.id}/1`, batch: container.id, shelf: 'R1', rack: 'R', container },
    ...{ coreC: nowC + 1, shelfAboveRoomK: 0, memoryHours: 0 },
    ...{ warmLimitC: nowC + 4 + index, heatLimitC: nowC + 7 + 2 * index },
  }));
}

/** Highest exposure of any cohort in the air that truly came, in shares of what bags stand. */
function worstShare(cohorts: readonly StandingCohort[], airC: Float64Array, beforeC: number): number {
  return Math.max(
    ...cohorts.map(({ container, coreC, warmLimitC, heatLimitC }) => {
      const thermal = thermalOf(container);
      const ownK = coreC - beforeC;
      let state = evenCore(beforeC);
      let memory = 0;
      let highest = 0;
      for (const tempC of airC) {
        state = stepCoreChain(state, { airC: tempC, heatingWPerKg: 0, dtS: 60, thermal });
        memory = remembered(memory, doseRate(state.coreC + ownK, warmLimitC, heatLimitC), 1 / 60);
        highest = Math.max(highest, memory);
      }
      return highest / heatAllowanceHours;
    }),
  );
}

function answerFor(study: UnloadCase, cohorts: StandingCohort[]): number {
  const { past, unload, farm } = study;
  const container = farm.containers.find(({ id }) => id === unload.container)!;
  const localHour = (t: number): number => (t % dayMs) / (60 * minuteMs);
  const silent = new Float64Array(recentMin).fill(Number.NaN);
  const { advice } = planUnload({
    ...{ room: study.room, container, cohorts, limits: [], earlier: [], localHour, inoculateBelowC: 27 },
    load: { container: container.id, count: Math.min(999, unload.count), startC: unload.startC },
    options: { fan: false, extraCoolingW: 0 },
    ...{ now: unload.at, at: unload.at },
    fit: fitRoom(historyOf(study), defaultRoom(study.floorAreaM2, study.nameplateW ?? undefined)),
    recent: {
      firstT: unload.at - recentMin * minuteMs,
      stepMs: minuteMs,
      airC: past.airC.slice(-recentMin),
      outsideC: past.outsideC?.slice(-recentMin) ?? silent,
    },
  });
  return advice.largest.count;
}

/** The planner's largest load carried out in the simulator, and half as much again. */
export async function run(): Promise<Figure[]> {
  let [held, broken, asked] = [0, 0, 0];
  for (const study of unloadRooms({ count: rooms, seed, days: 14, small: 3 })) {
    const cohorts = cohortsIn(study);
    const count = answerFor(study, cohorts);
    // Nothing to carry out, or no end to it.
    if (count < 4 || count >= 600) continue;
    asked++;
    const beforeC = meanOfKnown(study.past.airC.slice(-60));
    if (worstShare(cohorts, study.carryOut(count).airC, beforeC) <= 1) held++;
    if (worstShare(cohorts, study.carryOut(Math.ceil(1.5 * count)).airC, beforeC) > 1) broken++;
  }
  const plain = { baseline: null, ratio: null };
  return [
    {
      name: 'rooms with an answer of 4 to 599',
      value: asked,
      unit: `of ${rooms}`,
      ...plain,
      goal: null,
      holds: null,
    },
    {
      ...{
        name: 'the largest load keeps every cohort under its limit',
        value: held / asked,
        unit: 'share',
        ...plain,
      },
      ...{ goal: 'at least 0.9', holds: held / asked >= 0.9 },
    },
    {
      ...{ name: 'half as much again does not', value: broken / asked, unit: 'share', ...plain },
      ...{ goal: 'above 0.5', holds: broken / asked > 0.5 },
    },
  ];
}
