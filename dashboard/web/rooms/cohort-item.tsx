import type { CohortForecast } from '../../../shared/forecasts.ts';
import type { LiveState } from '../../../shared/live.ts';
import { Mark } from '../drawing/mark.tsx';
import { chiefMark } from '../drawing/standing.ts';
import { percentOf, writingOf, written } from '../format/value.ts';
import { CohortLine } from '../parts/cohort-lines.tsx';
import { namesOf } from '../parts/names.ts';
import { openRecord } from '../record/open.ts';
import { link, site } from '../screen.ts';
import { settings } from '../settings.ts';
import { common } from '../text/common.ts';
import { rooms } from '../text/rooms.ts';

interface Props {
  state: LiveState;
  cohort: string;
  forecast: CohortForecast | undefined;
}

/** One cohort in words, with the way to its batch and to recording something of it. */
export function CohortItem({ state, cohort, forecast }: Props) {
  const batch = state.batches.find(({ cohorts }) => cohorts.some(({ id }) => id === cohort));
  const standing = batch?.cohorts.find(({ id }) => id === cohort);
  if (batch === undefined || standing === undefined) return null;
  const { bags, checks } = standing;
  const names = namesOf(state.farm);
  const mark = forecast === undefined ? null : chiefMark(forecast.marks);
  const core =
    forecast === undefined
      ? null
      : written(forecast.coreTempC, writingOf('temperature', settings.value.temperature));
  const what = `${names.strain(batch.strain)} ${batch.id}`;
  return (
    <li class="cohort">
      <p class="cohort-what">
        {mark === null ? null : (
          <svg class="mark-icon" viewBox="-1 -1 26 26" role="img" aria-label={common.mark[mark]}>
            <Mark mark={mark} />
          </svg>
        )}
        <a href={link({ name: 'batch', id: batch.id })}>
          <strong>{names.strain(batch.strain)}</strong> · {rooms.generation[batch.generation]} ·{' '}
          {common.bags(bags.length)}
        </a>
      </p>
      <p class="cohort-when">
        {forecast === undefined ? (
          rooms.noForecast
        ) : (
          <>
            <CohortLine forecast={forecast} now={site.value.now.value} zone={state.farm.site.timeZone} />
            {rateStillAssumed(forecast, checks) ? <span class="phrase">{rooms.assumed}</span> : null}
          </>
        )}
      </p>
      {forecast === undefined ? null : (
        <p class="cohort-share">
          <strong>{percentOf(forecast.share.likely)}</strong>
          <span>
            <span class="unseen">{rooms.core('')}</span>
            {core}
          </span>
        </p>
      )}
      <button
        type="button"
        class="cohort-record"
        aria-label={rooms.recordFor(what)}
        onClick={() => openRecord({ batch: batch.id, bags })}
      >
        <svg viewBox="0 0 24 24" aria-hidden="true">
          <path d="M4 20 L5 15.5 L16.5 4 L20 7.5 L8.5 19 Z M14 6.5 L17.5 10" />
        </svg>
      </button>
    </li>
  );
}

/** Nothing yet speaks for this cohort's growth rate: no publication, and nobody has looked. */
const rateStillAssumed = ({ assumed }: CohortForecast, checks: readonly unknown[]): boolean =>
  checks.length === 0 && assumed.some((word) => word.includes('growth rate'));
