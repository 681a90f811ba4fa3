import type { BagMark, CohortForecast } from '../../shared/forecasts.ts';
import { slipProbability } from '../../shared/growth/look.ts';
import { assumedOf } from '../../shared/growth/species.ts';
import type { Kind } from './kind.ts';
import { between } from './nodes.ts';
import { particleCount } from './particles.ts';
import { shareOf } from './spells.ts';
import type { View } from './view.ts';

/** Equivalent hours from which bags are marked as having run hot. Assumed. */
export const hotHours = 1;

/** Inputs that rest neither on a publication nor on this farm's own looks. */
export function assumedFor(kind: Kind): string[] {
  const species = assumedOf(kind.species).map((what) => `${what} of ${kind.species.name.toLowerCase()}`);
  return [...species, 'how much batches of a strain differ', 'heat that the bag makes itself'];
}

/** How likely the newest look is to have been about something else. */
function oddLook(view: View): { judged: number; likely: number } | undefined {
  const { run, particles } = view;
  const mark = run.marks.findLast((one) => one.kind === 'look' && one.counts);
  if (mark === undefined || run.marks.some((one) => one.kind === 'shake' && one.t > mark.t)) return undefined;
  let odd = 0;
  let likely = 0;
  for (let i = 0; i < particleCount; i++) {
    const share = shareOf(
      run.spells,
      particles,
      i,
      between(mark.nodes, particles.node[i]!, particles.part[i]!),
    );
    odd += particles.weight[i]! * slipProbability(mark.judged, share);
    likely += particles.weight[i]! * share;
  }
  return odd > 0.5 ? { judged: mark.judged, likely } : undefined;
}

export function marksFor(forecast: CohortForecast, view: View): BagMark[] {
  const marks: BagMark[] = [];
  if (['open', 'best', 'closing'].includes(forecast.shake.state)) marks.push('shake');
  if (forecast.ready.state === 'ready') marks.push('ready');
  if (forecast.useBy.state === 'past') marks.push('too-old');
  if (forecast.heat.equivalentHours >= hotHours) marks.push('ran-hot');
  if (forecast.ready.state === 'stalled' || oddLook(view) !== undefined) marks.push('look');
  return marks;
}

const percent = (share: number): string => `${Math.round(share * 100)} %`;
const days = (count: number): string => `${count.toFixed(1)} d`;

/** What a person should know of the forecast beyond its numbers. */
export function notesFor(forecast: CohortForecast, view: View): string[] {
  const notes: string[] = [];
  const { shake, heat } = forecast;
  if (shake.gainDays !== null && forecast.marks.includes('shake'))
    notes.push(`Shake today: ready ${days(shake.gainDays)} sooner.`);
  const odd = oddLook(view);
  if (odd !== undefined)
    notes.push(
      `The last look said ${percent(odd.judged)}, the forecast about ${percent(odd.likely)}: it counts little; look again.`,
    );
  if (heat.equivalentHours >= hotHours)
    notes.push(
      `Ran hot: as much as ${heat.equivalentHours.toFixed(1)} h at ${view.batch.kind.species.heatLimitC} °C in the core. Look for stalled growth, wet or sour-smelling spots.`,
    );
  if (forecast.ready.state === 'stalled')
    notes.push('At this temperature it does not fill within ten weeks.');
  if (forecast.air === 'filled')
    notes.push('No sensor tells this shelf’s temperature now: it is guessed, and the dates are wide.');
  else if (forecast.air === 'neighbour')
    notes.push('Temperature taken from the room’s sensors, not from this shelf.');
  if (view.batch.kind.species.pinsOnGrain && forecast.useBy.state !== 'good')
    notes.push('This species fruits on the grain if left.');
  return notes;
}
