import { minuteMs } from '../../shared/time.ts';
import { notSoonMin, predictedPlan } from '../conditions/predicted.ts';
import type { RoomWatched } from '../conditions/room-followed.ts';
import { factsOf } from '../measures.ts';
import { ruleOf, type SignalDefinition } from './definition.ts';
import { type LimitedPlace, watchedOf } from './limits.ts';

/** A prediction comes when the limit is nearer than this many times the time it takes to respond. */
const aheadOfResponse = 1.25;
const leastAheadMin = 45;
const mostAheadMin = 120;
/** How long the trend must keep its promise, and for how long it must have turned [min]; measured, see `predictedPlan`. */
const surelyMin = 5;
const turnedMin = 10;

/**
 * Warnings before a temperature limit is reached, one for each limit that a room or shelf has. They end by
 * themselves, without anybody's acknowledgement, when the trend turns.
 */
export function predictedAlarms(
  place: LimitedPlace,
  limits: readonly SignalDefinition[],
  watchedRoom?: RoomWatched,
): SignalDefinition[] {
  const { key, measure, name, room, shelf, band, sources } = place;
  if (measure !== 'temperature' || band.predict === false) return [];
  return (['high', 'low'] as const).flatMap((side) => {
    const limit = limits.find(({ id }) => id === `${side}/${key}`);
    if (limit === undefined) return [];
    const beyond = side === 'high' ? 'above' : 'below';
    const aheadMin = Math.min(
      mostAheadMin,
      Math.max(leastAheadMin, aheadOfResponse * limit.respondWithinMin),
    );
    const limitAt = (t: number) => limit.ruleAt(t).limit;
    const limitName = `${side}/${key} ${limit.base.limit} ${JSON.stringify(band.during ?? [])}`;
    const plans = sources.map(({ signal }) =>
      predictedPlan({ channel: signal, side: beyond, name: limitName, limitAt, watched: watchedRoom }),
    );
    const watched = new Map(
      [...watchedOf(place, beyond)].map(([signal, shown]) => [
        plans.find(({ sources: [source] }) => source === signal)!.out,
        shown,
      ]),
    );
    const base = {
      side: 'below',
      limit: aheadMin,
      deadband: aheadMin / 2,
      onDelayMs: surelyMin * minuteMs,
      offDelayMs: turnedMin * minuteMs,
    } as const;
    const words = factsOf(measure).words[side];
    return {
      kind: 'signal',
      id: `predicted-${side}/${key}`,
      name: `${name} will be ${words}`,
      ...{ room, shelf, base, plans, watched, unit: ' min', route: limit.route, priority: limit.priority },
      consequence: limit.consequence,
      advice: `There is still time. ${limit.advice}`,
      respondWithinMin: Math.min(30, limit.respondWithinMin),
      rule: { ...ruleOf(limit.priority, { ...band, latching: false }), endsItself: true },
      // Once the limit is passed, that alarm says all that this one could.
      causes: side === 'high' ? [`high/${key}`, `high-high/${key}`] : [`low/${key}`, `low-low/${key}`],
      rules: [base],
      ruleAt: () => base,
      raised: ({ value, at, detail }) =>
        value >= notSoonMin
          ? `${name}: its way to being ${words} has come to a halt`
          : `${at === null ? name : `${name}, ${at}`} will be ${words} in about ${Math.round(value)} min (${detail})`,
      over: () => `${name}: no longer on its way to being ${words}`,
    };
  });
}
