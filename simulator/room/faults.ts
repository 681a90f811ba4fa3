import type { EpochMs } from '../../shared/time.ts';

/** Something that goes wrong for a while; hours count from the scenario's start. */
export type RoomFault = { room: string; fromH: number; toH: number; text: string } & (
  | { what: 'cooling' /** Part of the capacity that is left, 0-1. */; left: number }
  | { what: 'heating'; left: number }
  /** The thermostat's own sensor is off by this much [K]: below zero, the room runs warm. */
  | { what: 'thermostat-reads'; offK: number }
  | { what: 'door-open' }
);

export interface RoomAilments {
  coolingLeft: number;
  heatingLeft: number;
  thermostatOffK: number;
  doorOpen: boolean;
}

const well: RoomAilments = { coolingLeft: 1, heatingLeft: 1, thermostatOffK: 0, doorOpen: false };

/** What ails one room at an instant. */
export function ailmentsAt(
  faults: readonly RoomFault[],
  room: string,
  startAt: EpochMs,
  t: EpochMs,
): RoomAilments {
  const hours = (t - startAt) / 3_600_000;
  let ailments = well;
  for (const fault of faults) {
    if (fault.room !== room || hours < fault.fromH || hours >= fault.toH) continue;
    if (fault.what === 'cooling') ailments = { ...ailments, coolingLeft: fault.left };
    else if (fault.what === 'heating') ailments = { ...ailments, heatingLeft: fault.left };
    else if (fault.what === 'door-open') ailments = { ...ailments, doorOpen: true };
    else ailments = { ...ailments, thermostatOffK: fault.offK };
  }
  return ailments;
}
