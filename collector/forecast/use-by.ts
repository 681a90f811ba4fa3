import type { CohortForecast } from '../../shared/forecasts.ts';
import { useByAge } from '../../shared/growth/ageing.ts';
import { dayMs, type EpochMs, hourMs } from '../../shared/time.ts';
import { stepsPerDay, timeOf } from './grid.ts';
import { middleNode } from './nodes.ts';
import { hoursUntil } from './outlook.ts';
import type { View } from './view.ts';

/** Days before use-by from which it is soon. */
const soonDays = 2;

/** When a thermal age that has passed was reached: between two of the days kept. */
function passedAt({ run, batch, base }: View, age: number): EpochMs {
  const { daily } = run;
  const firstDay = Math.ceil(batch.startStep / stepsPerDay);
  const after = daily.findIndex((theta) => theta >= age);
  const last = after < 0 ? daily.length - 1 : after - 1;
  const start = last < 0 ? batch.batch.madeAt : timeOf((firstDay + last) * stepsPerDay);
  const end = after < 0 ? base : timeOf((firstDay + after) * stepsPerDay);
  const startAge = last < 0 ? 0 : daily[last]!;
  const endAge = after < 0 ? run.nodes[middleNode]! : daily[after]!;
  const along = endAge > startAge ? (age - startAge) / (endAge - startAge) : 1;
  return Math.round(start + along * (end - start));
}

/** Until when the bags should be used; null when that lies beyond all looking ahead. */
export function useByOf(view: View): CohortForecast['useBy'] {
  const { run, batch, prospects, outlook, now, base } = view;
  const age = useByAge(batch.kind.species.useWithinDays, prospects.readyAge);
  const reached = run.nodes[middleNode]!;
  if (reached >= age) return { at: passedAt(view, age), state: 'past' };
  const hours = hoursUntil(outlook, age - reached, middleNode, 0);
  const at = Number.isFinite(hours) ? Math.round(base + hours * hourMs) : null;
  return { at, state: at !== null && at - now < soonDays * dayMs ? 'soon' : 'good' };
}
