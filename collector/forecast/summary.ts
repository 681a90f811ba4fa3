import type { CohortForecast } from '../../shared/forecasts.ts';
import { doseRate } from '../../shared/growth/dose.ts';
import { shelfAt, slot } from './cohort-run.ts';
import { middleNode } from './nodes.ts';
import { threePoints } from './quantiles.ts';
import { readyOf } from './ready.ts';
import { shakeWindow } from './shake-window.ts';
import { useByOf } from './use-by.ts';
import type { View } from './view.ts';
import { marksFor, notesFor } from './words.ts';

/**
 * The forecast of a cohort as known at an instant.
 * @param moved what moved it lately, in words
 */
export function forecastOf(view: View, moved: string | undefined): CohortForecast {
  const { run, batch, now, particles } = view;
  const { state } = run;
  const { warmLimitC, heatLimitC } = batch.kind.species;
  const coreTempC = state[slot.core]! + run.offsetK.mean;
  const share = threePoints(view.share, particles.weight, view.prospects.ranked.share);
  const ready = readyOf(view);
  const forecast: CohortForecast = {
    cohort: run.cohort.id,
    batch: batch.batch.id,
    bags: run.cohort.bags,
    shelf: shelfAt(run.cohort, batch.step()),
    asOf: now,
    share,
    coreTempC,
    thermalDays: run.nodes[middleNode]!,
    degreeDays: state[slot.degreeDays]!,
    heat: {
      equivalentHours: state[slot.dose]!,
      hoursAboveWarm: state[slot.warmHours]!,
      recentHours: state[slot.memory]!,
      perHour: doseRate(coreTempC, warmLimitC, heatLimitC),
      ...(batch.inherited.doseHours > 0 ? { inheritedHours: batch.inherited.doseHours } : {}),
    },
    shake: shakeWindow(view, share, ready),
    ready,
    useBy: useByOf(view),
    air: run.source,
    marks: [],
    assumed: batch.kind.assumed,
    notes: [],
  };
  forecast.marks = marksFor(forecast, view);
  forecast.notes = [
    ...(moved === undefined || forecast.ready.seen ? [] : [moved]),
    ...notesFor(forecast, view),
  ];
  return forecast;
}
