import { z } from 'zod';
import { acknowledgeLinkView, alarmJournalEntry, alarmView, personView } from '../../shared/alarms.ts';
import { problemDetails } from '../../shared/api/problem.ts';
import { strainPage } from '../../shared/api/strains.ts';
import { bagEvent } from '../../shared/bags.ts';
import { batchState } from '../../shared/batches.ts';
import { cohortCurve, cohortForecast } from '../../shared/forecasts.ts';
import { farmView, liveChange, liveState, partHealth, runState } from '../../shared/live.ts';
import { liveValue, series } from '../../shared/readings.ts';
import { hotLoad, unloadEvent, unloadPlan, unloadSummary, unloadView } from '../../shared/unloads.ts';
import { problemType } from './problems.ts';

/** The schemas that have a name of their own in the API description. */
export const namedSchemas = z.registry<{ id: string }>();
const named = {
  LiveState: liveState,
  LiveChange: liveChange,
  FarmView: farmView,
  LiveValue: liveValue,
  AlarmView: alarmView,
  AcknowledgeLinkView: acknowledgeLinkView,
  PersonView: personView,
  AlarmJournalEntry: alarmJournalEntry,
  BatchState: batchState,
  BagEvent: bagEvent,
  CohortForecast: cohortForecast,
  CohortCurve: cohortCurve,
  Series: series,
  StrainPage: strainPage,
  HotLoad: hotLoad,
  UnloadEvent: unloadEvent,
  UnloadPlan: unloadPlan,
  UnloadView: unloadView,
  UnloadSummary: unloadSummary,
  PartHealth: partHealth,
  RunState: runState,
  ProblemDetails: problemDetails,
};
for (const [id, schema] of Object.entries(named)) namedSchemas.add(schema, { id });

const problem = (description: string) => ({
  description,
  content: { [problemType]: { schema: problemDetails } },
});

/** Responses of a route: what it answers, and the problem details that any route may answer instead. */
export const answers = <R extends Record<number, unknown>>(success: R) => ({
  ...success,
  '4xx': problem('The request cannot be served as it is; detail says what to change.'),
  '5xx': problem('The server cannot serve it just now.'),
});

/** A success that is text of some type, not JSON. */
export const textAnswer = (description: string, type: string) => ({
  description,
  content: { [type]: { schema: z.string() } },
});
