import type { BagMark, CohortForecast } from '../../shared/forecasts.ts';
import type { View } from './view.ts';

/** Equivalent hours from which bags are marked as having run hot. Assumed. */
const hotHours = 1;

export function marksFor(forecast: CohortForecast, view: View): BagMark[] {
  const marks: BagMark[] = [];
  if (['open', 'best', 'closing'].includes(forecast.shake.state)) marks.push('shake');
  if (forecast.ready.state === 'ready') marks.push('ready');
  if (forecast.useBy.state === 'past') marks.push('too-old');
  const { equivalentHours, inheritedHours = 0 } = forecast.heat;
  if (equivalentHours + inheritedHours >= hotHours) marks.push('ran-hot');
  if (forecast.ready.state === 'stalled' || view.run.odd !== null) marks.push('look');
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
  const { odd } = view.run;
  if (odd !== null)
    notes.push(
      `The last look said ${percent(odd.judged)}, the forecast about ${percent(odd.likely)}: it counts little; look again.`,
    );
  if (heat.equivalentHours >= hotHours)
    notes.push(
      `Ran hot: as much as ${heat.equivalentHours.toFixed(1)} h at ${view.batch.kind.species.heatLimitC} °C in the core. Look for stalled growth, wet or sour-smelling spots.`,
    );
  if (heat.inheritedHours !== undefined && heat.inheritedHours >= hotHours)
    notes.push(
      `Poured from bags that ran hot: ${heat.inheritedHours.toFixed(1)} h at ${view.batch.kind.species.heatLimitC} °C in their core. Look for slow starts and for points that stay bare.`,
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
