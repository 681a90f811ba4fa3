import { followStructure, ownGains, roomRun, settledRoom } from '../room/model.ts';
import { isWorkingHour, meanRoom, type RoomFit, usualOutsideC } from '../room/room-fit.ts';
import { bagsBesideW, withBags } from '../room/with-bags.ts';
import { type EpochMs, minuteMs } from '../time.ts';
import type { RecentAir } from './plan-input.ts';

interface CoolerOff {
  fit: RoomFit;
  air: RecentAir;
  /** The same air without gaps and single odd readings [°C]. */
  tempC: Float64Array;
  localHour: (t: EpochMs) => number;
  /** Heat that bags in the room give [W]; null, or left out, where nobody knows. */
  bagsW?: number | null | undefined;
}

/** Air after some minutes with the cooler off, from where the room stood at a place in the series [°C]. */
function coolerOffC(off: CoolerOff, start: number, minutes: number): number {
  const { fit, air, tempC, localHour } = off;
  const room = withBags(meanRoom(fit), bagsBesideW(fit, off.bagsW));
  const time = (index: number): EpochMs => air.firstT + index * air.stepMs;
  const outsideAt = (index: number): number => {
    const measured = air.outsideC[index];
    return measured !== undefined && Number.isFinite(measured)
      ? measured
      : usualOutsideC(fit, localHour(time(index)));
  };
  const first = Math.max(0, tempC.findIndex(Number.isFinite));
  let { structureC } = settledRoom(room, tempC[first]!, outsideAt(first));
  for (let index = first; index < start; index++)
    structureC = followStructure(
      room,
      structureC,
      { airC: tempC[index]!, outsideC: outsideAt(index) },
      air.stepMs / 1000,
    );
  const run = roomRun(room, { airC: tempC[start]!, structureC }, 60);
  const own = ownGains(room, isWorkingHour(localHour(time(start))));
  for (let minute = 0; minute < minutes; minute++) run.step(outsideAt(start), own.airW, own.wallW, 0);
  return run.airC;
}

/** Past what the room does with its cooler off, by this much [K] and this part of that rise. */
const pastIdleK = 0.4;
const pastIdlePart = 0.25;

/**
 * Whether a room's own heat explains a rise, with its cooler off from the start of it on; never where nothing was
 * learned of the room. @param marginShare 0 to 1: how much more than its own heat must bring is put down to it
 */
export function ownDoing(off: CoolerOff, start: number, end: number, marginShare: number): boolean {
  const { fit, air, tempC } = off;
  if (fit.trainedDays === 0) return false;
  const minutes = Math.max(1, Math.round(((end - start) * air.stepMs) / minuteMs));
  const aloneC = coolerOffC(off, start, minutes);
  const margin = pastIdleK + pastIdlePart * Math.max(0, aloneC - tempC[start]!);
  return tempC[end]! < aloneC + marginShare * margin;
}
