import type { Farm } from '../../shared/farm/farm.ts';
import { minuteMs } from '../../shared/time.ts';
import { heatSignal } from '../bag-watch.ts';
import type { LimitRule } from '../conditions/limit.ts';
import type { Counsel } from './counsel.ts';
import { ruleOf, type SignalDefinition } from './definition.ts';

/** Shares of the allowance [%] at which bags that gather heat are told of. Assumed. */
const levels = { heat: 25, 'heat-full': 100 } as const;

const counsel: Record<keyof typeof levels, Counsel> = {
  heat: {
    priority: 2,
    consequence:
      'Exposure adds up: these bags grow more slowly for days, and past all that they stand they may not fill.',
    advice: 'Move these bags to a cooler shelf or room, spread them out, and see that cooling runs.',
    respondWithinMin: 60,
  },
  'heat-full': {
    priority: 1,
    consequence: 'They have had as much heat as halves their growth, and more comes on top.',
    advice:
      'Move these bags out now. Look for stalled growth and for wet or sour-smelling spots before you use them.',
    respondWithinMin: 20,
  },
};

/** Bags that gather more heat than they should, room by room, after the forecasts of their cores. */
export function bagAlarms(farm: Farm): SignalDefinition[] {
  const rooms = [...farm.rooms.values()].filter(({ racks }) => racks.length > 0);
  return rooms.flatMap(({ id: room, name }) =>
    (['heat-full', 'heat'] as const).map((level): SignalDefinition => {
      const base: LimitRule = {
        side: 'above',
        limit: levels[level],
        deadband: 0.2 * levels[level],
        onDelayMs: 0,
        // Cores that swing about their warm limit are one event.
        offDelayMs: 30 * minuteMs,
      };
      const what = level === 'heat' ? 'bags gather heat' : 'bags have had all the heat that they stand';
      return {
        ...{ kind: 'signal', id: `${level}/${room}`, name: `${name}: ${what}` },
        ...counsel[level],
        ...{ room, shelf: null, route: null, unit: ' %', base, plans: [], shownBy: 'heat' },
        rule: ruleOf(counsel[level].priority),
        causes: level === 'heat' ? [`heat-full/${room}`] : [],
        rules: [base],
        ruleAt: () => base,
        watched: new Map([[heatSignal(room), { channel: null, at: null }]]),
        raised: ({ value, detail }) =>
          value > 0 && detail ? `${name}: ${what}: ${detail}` : `${name}: bags no longer gather heat`,
        over: ({ peak }) =>
          `${name}: bags no longer gather heat${peak === null ? '' : `, reached ${Math.round(peak)} % of what they stand`}`,
      };
    }),
  );
}
