import { roomAirChannels } from '../../shared/air/room-channels.ts';
import type { Farm } from '../../shared/farm/farm.ts';
import { minuteMs } from '../../shared/time.ts';
import { departurePlan } from '../conditions/departure.ts';
import type { LimitRule } from '../conditions/limit.ts';
import type { RoomWatched } from '../conditions/room-followed.ts';
import type { Counsel } from './counsel.ts';
import { ruleOf, type SignalDefinition } from './definition.ts';
import { limitedPlaces } from './limits.ts';

/** Beyond what its thermostat allows by this much [K], for so long. Assumed: no thermostat swings so. */
const beyondK = 1;
const lastingMs = 40 * minuteMs;

const counsel: Record<'cooling' | 'heating', Counsel> = {
  cooling: {
    priority: 2,
    consequence: 'Without cooling the room follows the weather and the heat of the bags.',
    advice: 'Listen whether the cooler runs; look for a tripped breaker, an iced coil, a door ajar.',
    respondWithinMin: 120,
  },
  heating: {
    priority: 3,
    consequence: 'Without heating growth slows, and ready dates move later.',
    advice: 'See whether the heater runs; look for a tripped breaker, a door or vent ajar.',
    respondWithinMin: 240,
  },
};

/** Cooling or heating that has no effect: a room as a whole beyond what its thermostat allows. */
export function equipmentAlarms(
  farm: Farm,
  watched: (room: string) => RoomWatched | undefined = () => undefined,
): SignalDefinition[] {
  const places = limitedPlaces(farm);
  return [...farm.rooms.values()].flatMap((room) => {
    const channels = roomAirChannels(farm, room.id);
    if (channels.length === 0) return [];
    const keys = places
      .filter((place) => place.room === room.id && place.measure === 'temperature')
      .map(({ key }) => key);
    return (['cooling', 'heating'] as const).map((what): SignalDefinition => {
      const side = what === 'cooling' ? 'above' : 'below';
      const plans = channels.map(({ id }) => departurePlan({ channel: id, side, watched: watched(room.id) }));
      const base: LimitRule = {
        side: 'above',
        limit: beyondK,
        deadband: 0.6,
        onDelayMs: lastingMs,
        offDelayMs: 15 * minuteMs,
      };
      const levels =
        what === 'cooling' ? ['predicted-high', 'high', 'high-high'] : ['predicted-low', 'low', 'low-low'];
      return {
        ...{ kind: 'signal', id: `no-${what}/${room.id}`, name: `${room.name}: ${what} has no effect` },
        ...counsel[what],
        ...{ room: room.id, shelf: null, route: null, unit: ' K', base, plans },
        rule: ruleOf(counsel[what].priority),
        causes: levels.flatMap((level) => keys.map((key) => `${level}/${key}`)),
        rules: [base],
        ruleAt: () => base,
        watched: new Map(channels.map(({ id }, n) => [plans[n]!.out, { channel: id, at: null }])),
        raised: ({ detail }) => `${room.name}: ${what} seems to have no effect, ${detail}`,
        over: () => `${room.name} is as usual again`,
      };
    });
  });
}
