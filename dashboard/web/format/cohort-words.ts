import type { CohortForecast } from '../../../shared/forecasts.ts';
import type { EpochMs } from '../../../shared/time.ts';
import { type ThreeDays, threeDays } from './ready.ts';
import { dayOf } from './time.ts';

/** When a cohort is ready, as it is said. */
export type ReadyWords =
  | { kind: 'now' }
  | { kind: 'days'; days: ThreeDays }
  | { kind: 'stalled' }
  | { kind: 'unknown' };

export interface CohortWords {
  ready: ReadyWords;
  /** `Sun 29`; null when it has no use-by or is not ready yet. */
  useBy: { day: string; past: boolean } | null;
  shake: { when: 'now' | 'closing' | 'later'; gainDays: number | null; from: string | null } | null;
  /** Hours above the warm limit, where they are worth a word. */
  warmHours: number | null;
}

/** What is worth saying of a cohort, in the site's days. */
export function cohortWords(forecast: CohortForecast, now: EpochMs, zone: string): CohortWords {
  return {
    ready: readyWords(forecast, now, zone),
    useBy: useByWords(forecast, now, zone),
    shake: shakeWords(forecast, now, zone),
    warmHours: forecast.heat.hoursAboveWarm >= 0.5 ? forecast.heat.hoursAboveWarm : null,
  };
}

function readyWords({ ready }: CohortForecast, now: EpochMs, zone: string): ReadyWords {
  if (ready.state === 'ready') return { kind: 'now' };
  if (ready.state === 'stalled') return { kind: 'stalled' };
  return ready.at === null ? { kind: 'unknown' } : { kind: 'days', days: threeDays(ready.at, now, zone) };
}

function useByWords({ ready, useBy }: CohortForecast, now: EpochMs, zone: string): CohortWords['useBy'] {
  if (useBy.at === null || ready.state !== 'ready') return null;
  return { day: dayOf(useBy.at, now, zone), past: useBy.state === 'past' };
}

function shakeWords({ shake }: CohortForecast, now: EpochMs, zone: string): CohortWords['shake'] {
  const { gainDays } = shake;
  if (shake.state === 'open' || shake.state === 'best') return { when: 'now', gainDays, from: null };
  if (shake.state === 'closing') return { when: 'closing', gainDays, from: null };
  if (shake.state === 'early' && shake.opens !== null)
    return { when: 'later', gainDays, from: dayOf(shake.opens.likely, now, zone) };
  return null;
}
