import { ownGains, roomRun } from '../../shared/room/model.ts';
import type { RoomParam } from '../../shared/room/params.ts';
import { bagsBesideW, withBags } from '../../shared/room/with-bags.ts';
import { followedS, type PastStep, type RoomNow } from './room-followed.ts';

/** What a room's own past must tell before its model says what cooling, or heating, would do. */
const tells: Record<'above' | 'below', readonly RoomParam[]> = {
  above: ['coolingW', 'coolAboveC'],
  below: ['heatingW', 'heatBelowC'],
};
/** A room whose cooler is called upon has come back to what it holds within so many steps: an hour. */
const steps = 12;
/** Steps at the end whose mean is compared. */
const compared = 2;

/** Air that a room should have by now [°C], and how sure its fit is of that [K, 1 sd]; swings are no part of it. */
export interface Expected {
  tempC: number;
  sdK: number;
}

function lastC(
  past: readonly PastStep[],
  run: ReturnType<typeof roomRun>,
  gains: readonly ReturnType<typeof ownGains>[],
): number {
  let sum = 0;
  past.forEach(({ outsideC, working, given }, step) => {
    const own = gains[working ? 1 : 0]!;
    run.step(outsideC, own.airW + given.airW, own.wallW + given.wallW, 1);
    if (step >= past.length - compared) sum += run.airC / compared;
  });
  return sum;
}

/**
 * Air that a room has at the end of the last hour when cooling and heating work, from where it was an hour ago and
 * through what acted on it since. Null where its past does not tell what they do, or the hour is not whole.
 */
export function expectedWithEffect(
  { fit, rooms, past, bagsW }: RoomNow,
  side: 'above' | 'below',
): Expected | null {
  if (past.length < steps || tells[side].some((name) => fit.notIdentified.includes(name))) return null;
  const [first] = past;
  const besideW = bagsBesideW(fit, bagsW);
  const temps = rooms.map((drawn, k) => {
    const room = withBags(drawn, besideW);
    const start = { airC: first!.airC, structureC: first!.wallsC[k]! };
    return lastC(past.slice(1), roomRun(room, start, followedS), [
      ownGains(room, false),
      ownGains(room, true),
    ]);
  });
  const tempC = temps.reduce((sum, c) => sum + c, 0) / temps.length;
  const variance = temps.reduce((sum, c) => sum + (c - tempC) ** 2, 0) / temps.length;
  return { tempC, sdK: Math.sqrt(variance) };
}
