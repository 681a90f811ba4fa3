import type { ComponentChildren } from 'preact';
import type { BatchState, Cohort } from '../../../shared/batches.ts';
import type { CohortForecast } from '../../../shared/forecasts.ts';
import type { LiveState } from '../../../shared/live.ts';
import { Container, ContainerClips } from '../drawing/container.tsx';
import { glyphBox } from '../drawing/container-shapes.ts';
import { chiefMark } from '../drawing/standing.ts';
import { cohortWords } from '../format/cohort-words.ts';
import { dayOf } from '../format/time.ts';
import { numberOf, percentOf, writingOf, written } from '../format/value.ts';
import { Ready } from '../parts/cohort-lines.tsx';
import { site } from '../screen.ts';
import { settings } from '../settings.ts';
import { batch as text } from '../text/batch.ts';
import { rooms } from '../text/rooms.ts';

interface Props {
  live: LiveState;
  batch: BatchState;
  cohort: Cohort;
  forecast: CohortForecast | undefined;
}

/** The bag as it looks by the forecast, and everything that is known of it. */
export function Facts({ live, batch, cohort, forecast }: Props) {
  const kind = live.farm.containers.find(({ id }) => id === batch.container)?.kind ?? 'bag';
  return (
    <section class="card facts" aria-label={text.share}>
      <svg class="facts-bag" viewBox={`-2 0 ${glyphBox.width + 4} ${glyphBox.height + 1}`} aria-hidden="true">
        <ContainerClips clips="facts" />
        <Container
          kind={kind}
          share={forecast?.share.likely ?? 0}
          seed={cohort.bags[0] ?? 1}
          mark={forecast === undefined ? null : chiefMark(forecast.marks)}
          clips="facts"
          detailed
        />
      </svg>
      {forecast === undefined ? <p>{rooms.noForecast}</p> : <Known forecast={forecast} live={live} />}
    </section>
  );
}

function Known({ forecast, live }: { forecast: CohortForecast; live: LiveState }) {
  const now = site.value.now.value;
  const zone = live.farm.site.timeZone;
  const words = cohortWords(forecast, now, zone);
  const { share, shake, heat, useBy } = forecast;
  const core = written(forecast.coreTempC, writingOf('temperature', settings.value.temperature));
  const window =
    shake.opens !== null && shake.closes !== null
      ? text.shakeWindow(dayOf(shake.opens.likely, now, zone), dayOf(shake.closes.likely, now, zone))
      : null;
  const gain = shake.gainDays === null ? null : text.gain(numberOf(shake.gainDays, 1));
  return (
    <>
      <div class="facts-share">
        <p class="facts-number">{percentOf(share.likely)}</p>
        <p class="quiet">{text.band(numberOf(share.low * 100, 0), percentOf(share.high))}</p>
      </div>
      <dl class="facts-list">
        <Fact name={text.ready}>
          <Ready ready={words.ready} bare />
          {forecast.ready.seen ? ` (${text.seen})` : ''}
        </Fact>
        <Fact name={text.shake}>
          {[text.shakeNone[shake.state], gain, window].filter((part) => part !== null).join(', ')}
        </Fact>
        {useBy.at === null ? null : (
          <Fact name={text.useBy}>
            <strong>{dayOf(useBy.at, now, zone)}</strong>
            {useBy.state === 'good' ? '' : ` (${useBy.state === 'soon' ? text.useBySoon : text.useByPast})`}
          </Fact>
        )}
        <Fact name={text.core}>{core}</Fact>
        <Fact name={text.heat}>
          {heat.hoursAboveWarm === 0 && heat.equivalentHours === 0
            ? text.heatNone
            : text.heatWords(numberOf(heat.hoursAboveWarm, 1), numberOf(heat.equivalentHours, 1))}
        </Fact>
        <Fact name={text.thermalTitle}>
          {text.thermal(numberOf(forecast.thermalDays, 1), numberOf(forecast.degreeDays, 0))}
        </Fact>
      </dl>
      <div class="facts-notes">
        {forecast.notes.length === 0 ? null : (
          <>
            <h2>{text.notes}</h2>
            <ul>
              {forecast.notes.map((note) => (
                <li key={note}>{note}</li>
              ))}
            </ul>
          </>
        )}
        <h2>{text.assumed}</h2>
        <p>{text.air[forecast.air]}</p>
        {forecast.assumed.length === 0 ? null : (
          <p>
            {text.assumedLead} {forecast.assumed.join(', ')}.
          </p>
        )}
      </div>
    </>
  );
}

function Fact({ name, children }: { name: string; children: ComponentChildren }) {
  return (
    <div>
      <dt>{name}</dt>
      <dd>{children}</dd>
    </div>
  );
}
