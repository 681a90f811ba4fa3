import type { LiveChange, LiveState } from '../../../shared/live.ts';

/**
 * Lays the changed slices over what is known. What did not change keeps its identity, so that
 * drawings can tell by `===` that they need not be drawn again.
 */
export function applyChange(state: LiveState, change: LiveChange): LiveState {
  const next: LiveState = { ...state, now: change.now };
  if (change.farm !== undefined) next.farm = change.farm;
  if (change.channels !== undefined) next.channels = { ...state.channels, ...change.channels };
  if (change.alarms !== undefined) next.alarms = change.alarms;
  if (change.batches !== undefined) next.batches = change.batches;
  if (change.unloads !== undefined) next.unloads = change.unloads;
  if (change.notices !== undefined) next.notices = change.notices;
  if (change.parts !== undefined) next.parts = change.parts;
  if (change.run !== undefined) next.run = change.run;
  next.forecasts = forecastsAfter(state, change);
  return next;
}

function forecastsAfter(state: LiveState, change: LiveChange): LiveState['forecasts'] {
  const { forecasts, endedCohorts } = change;
  if (forecasts === undefined && endedCohorts === undefined) return state.forecasts;
  const byCohort = new Map(state.forecasts.map((forecast) => [forecast.cohort, forecast]));
  for (const ended of endedCohorts ?? []) byCohort.delete(ended);
  for (const forecast of forecasts ?? []) byCohort.set(forecast.cohort, forecast);
  return [...byCohort.values()];
}
