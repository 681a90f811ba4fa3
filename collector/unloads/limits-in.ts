import type { Farm } from '../../shared/farm/farm.ts';
import type { RoomLimit } from '../../shared/unload/plan-input.ts';

/** Limits that a room's air may pass while a load cools in it, the lower first. */
export function warmLimitsOf(farm: Farm, room: string): RoomLimit[] {
  const band = farm.rooms.get(room)?.limits.temperature;
  return [
    { name: 'high limit', limitC: band?.high },
    // Beyond it bags are harmed within hours: no plan may go there.
    { name: 'outer high limit', limitC: band?.highHigh, keep: true },
  ].flatMap(({ limitC, ...limit }) => (limitC === undefined ? [] : [{ ...limit, limitC }]));
}
