import type { Farm } from '../../shared/farm/farm.ts';
import type { Person } from '../../shared/farm/people-schema.ts';
import { minuteMs } from '../../shared/time.ts';

export interface RouteStep {
  people: Person[];
  /** Until the next step is told; null: the alarm's time to respond. */
  waitMs: number | null;
}

/** Steps of a route; of the default one, or of all under `notify`, where none is named or it is not there. */
export function routeSteps(farm: Farm, route: string | null): RouteStep[] {
  const { routes, notify, people } = farm.file;
  const persons = (ids: readonly string[]) =>
    ids.flatMap((id) => people.find((person) => person.id === id) ?? []);
  const named = routes.find(({ id }) => id === route) ?? routes.find(({ id }) => id === 'default');
  if (named === undefined) return notify.length === 0 ? [] : [{ people: persons(notify), waitMs: null }];
  return named.steps.map(({ tell, waitMin }) => ({
    people: persons(tell),
    waitMs: waitMin === undefined ? null : waitMin * minuteMs,
  }));
}

/** Ways to reach a person in order, as the farm file has them now; those that are gone (410) left out. */
export function channelsOf(farm: Farm, person: Person, gone: ReadonlySet<string>): string[] {
  const { mail, webhooks } = farm.file;
  const wanted = person.channels ?? ['email'];
  return wanted.filter((channel) => {
    if (channel === 'email') return mail !== undefined && person.email !== undefined;
    return webhooks.some(({ id }) => id === channel) && !gone.has(channel);
  });
}
