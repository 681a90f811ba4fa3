import { ratePlan } from '../conditions/rate.ts';
import { factsOf } from '../measures.ts';
import { limitCounsel } from './counsel.ts';
import { ruleOf, type SignalDefinition } from './definition.ts';
import { type LimitedPlace, watchedOf } from './limits.ts';

/** Alarms on how fast a place changes, where the farm file sets a rate. */
export function rateAlarms(place: LimitedPlace): SignalDefinition[] {
  const { key, measure, band, name, room, shelf, sources } = place;
  const { unit, digits } = factsOf(measure);
  const plans = new Map(sources.map((source) => [source.signal, ratePlan(source.signal)]));
  return (['rises', 'falls'] as const).flatMap((way) => {
    const perH = way === 'rises' ? band.risePerH : band.fallPerH;
    if (perH === undefined) return [];
    const limit = way === 'rises' ? perH : -perH;
    const base = {
      side: way === 'rises' ? 'above' : 'below',
      ...{ limit, deadband: 0.2 * perH, onDelayMs: 0, offDelayMs: 0 },
    } as const;
    const counsel = limitCounsel(measure, way === 'rises' ? 'high' : 'low');
    const priority = band.priority ?? counsel.priority;
    const speed = (value: number) => `${Math.abs(value).toFixed(digits)}${unit}/h`;
    return {
      kind: 'signal',
      id: `${way}-fast/${key}`,
      name: `${name} ${way} fast: limit ${speed(limit)}`,
      ...{ room, shelf, priority, base, unit: `${unit}/h` },
      consequence: `It will leave its limits soon if it goes on. ${counsel.consequence}`,
      advice: counsel.advice,
      respondWithinMin: Math.min(30, counsel.respondWithinMin),
      rule: ruleOf(priority, band),
      route: band.route ?? null,
      // Once the limit itself is reached, that alarm says all that this one could.
      causes: (way === 'rises' ? ['high', 'high-high'] : ['low', 'low-low']).map((side) => `${side}/${key}`),
      ruleAt: () => base,
      rules: [base],
      watched: new Map(
        [...watchedOf(place, base.side)].map(([signal, watched]) => [plans.get(signal)!.out, watched]),
      ),
      plans: [...sources.flatMap(({ plan }) => plan ?? []), ...plans.values()],
      raised: ({ value, at }) =>
        `${at === null ? name : `${name}, ${at}`} ${way} fast: ${speed(value)}, limit ${speed(limit)}`,
      over: () => `${name} no longer ${way} fast`,
    };
  });
}
