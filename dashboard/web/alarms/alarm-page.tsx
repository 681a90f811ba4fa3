import '../styles/alarms.css';
import { useSignal } from '@preact/signals';
import type { ComponentChildren } from 'preact';
import { useMemo } from 'preact/hooks';
import type { AlarmDetail } from '../../../shared/alarm-detail.ts';
import type { LiveState } from '../../../shared/live.ts';
import { minuteMs } from '../../../shared/time.ts';
import { Chart } from '../chart/chart.tsx';
import { seriesPlan } from '../charts/series-plan.ts';
import { mostChannels } from '../charts/span.ts';
import { useSeries } from '../charts/use-series.ts';
import { datedMomentOf, momentNear, spanOf } from '../format/time.ts';
import { inScreenUnit, numberOf, writingOf, written } from '../format/value.ts';
import { useAnswer } from '../parts/use-answer.ts';
import { link, site } from '../screen.ts';
import { settings } from '../settings.ts';
import { alarm as text } from '../text/alarm.ts';
import { alarms } from '../text/alarms.ts';
import { common } from '../text/common.ts';
import { AlarmCard } from './alarm-card.tsx';
import { withPrediction } from './alarm-plan.ts';
import { AlarmTabs } from './alarm-tabs.tsx';
import { Course } from './course.tsx';
import { JournalTable } from './journal-table.tsx';
import { pageOfRelated } from './page-of-related.ts';
import { ShelveDialog } from './shelve-dialog.tsx';

/** One alarm with all that is known of it. */
export function AlarmPage({ id }: { id: string }) {
  const { state, base } = site.value;
  const live = state.value!;
  const shelving = useSignal(false);
  const shown = live.alarms.find((alarm) => alarm.id === id);
  const stamp = shown === undefined ? 'calm' : `${shown.state} ${shown.since} ${shown.title}`;
  const asked = useAnswer<AlarmDetail>(`${base}/alarms/detail?alarm=${encodeURIComponent(id)}`, stamp);
  const detail = asked.value;
  if (detail === null)
    return (
      <div class="page-note">
        <h1>{common.pageName.alarm}</h1>
        <p>{asked.failed === null ? common.loading : common.failed(asked.failed)}</p>
        <AlarmTabs />
      </div>
    );
  const alarm = shown ?? detail.alarm;
  return (
    <div class="alarms alarm-page">
      <div class="page-head">
        <h1>{inScreenUnit(detail.name, settings.value.temperature)}</h1>
        <AlarmTabs />
      </div>
      <h2 class="unseen">{alarms.now}</h2>
      <ul class="alarm-list">
        <AlarmCard
          alarm={alarm}
          live={live}
          onShelve={() => {
            shelving.value = true;
          }}
        />
      </ul>
      <Related detail={detail} live={live} />
      <div class="alarm-grid">
        <Curve detail={detail} live={live} />
        <Rule detail={detail} />
        <AtStake detail={detail} />
        <Deliveries detail={detail} zone={live.farm.site.timeZone} />
      </div>
      <Part id="alarm-journal" title={text.journal}>
        {detail.journal.length === 0 ? <p class="quiet">{alarms.journalNone}</p> : null}
        <JournalTable entries={detail.journal} farm={live.farm} ofOne />
      </Part>
      <ShelveDialog
        alarm={shelving.value ? alarm : null}
        capMin={detail.rule.shelveCapMin}
        onDone={() => {
          shelving.value = false;
        }}
      />
    </div>
  );
}

const Part = ({ id, title, children }: { id: string; title: string; children: ComponentChildren }) => (
  <section class="card journal" aria-labelledby={id}>
    <h2 id={id}>{title}</h2>
    {children}
  </section>
);

function Related({ detail, live }: { detail: AlarmDetail; live: LiveState }) {
  const { heldBackBy, holdsBack } = detail;
  const list = (title: string, related: AlarmDetail['holdsBack']) =>
    related.length === 0 ? null : (
      <p>
        {title}{' '}
        {related.map(({ alarm, title: words }) => (
          <a class="row-link" key={alarm} href={link(pageOfRelated(alarm, live))}>
            {inScreenUnit(words, settings.value.temperature)}
          </a>
        ))}
      </p>
    );
  return (
    <>
      {list(text.heldBackBy, heldBackBy)}
      {list(text.holdsBack, holdsBack)}
    </>
  );
}

function Curve({ detail, live }: { detail: AlarmDetail; live: LiveState }) {
  const { base } = site.value;
  const { curve, course } = detail;
  const channels = curve?.channels.slice(0, mostChannels) ?? [];
  const { loaded, failed } = useSeries(
    base,
    channels,
    Math.floor(curve?.from ?? 0),
    Math.ceil(curve?.to ?? 1),
  );
  const { temperature } = settings.value;
  const quantity = live.farm.channels.find(({ id }) => id === channels[0])?.quantity ?? 'temperature';
  const plan = useMemo(() => {
    if (loaded === null || curve === null) return null;
    const { series, from, to } = loaded;
    const plain = seriesPlan({ farm: live.farm, series, from, to, ticks: [], temperature });
    return withPrediction(plain, detail, writingOf(quantity, temperature), {
      limit: text.limit,
      prediction: text.predictionLine,
    });
  }, [loaded, detail, temperature]);
  const { prediction } = detail;
  const now = site.value.now.value;
  return (
    <Part id="alarm-curve" title={text.curve}>
      {course === null ? null : <Course {...{ detail, course }} zone={live.farm.site.timeZone} />}
      {curve === null && course === null ? <p class="quiet">{text.noCurve}</p> : null}
      {failed === null ? null : <p>{common.failed(failed)}</p>}
      {plan === null || plan.x.length === 0 ? null : (
        <Chart plan={plan} height={innerWidth < 700 ? 260 : 340} label={text.curveLabel(detail.name)} />
      )}
      {prediction === null ? null : (
        <p>
          {text.crosses(
            spanOf(prediction.crosses.likely - now),
            Math.max(0, Math.round((prediction.crosses.earliest - now) / minuteMs)),
            Math.max(0, Math.round((prediction.crosses.latest - now) / minuteMs)),
          )}
        </p>
      )}
    </Part>
  );
}

function Rule({ detail: { alarm, rule, unit, name } }: { detail: AlarmDetail }) {
  const number = (value: number | null, digits = 2) =>
    value === null ? null : `${Number(value.toFixed(digits))} ${unit.trim()}`;
  const seconds = (value: number | null) => (value === null ? null : spanOf(value * 1_000));
  const rows = [
    [
      text.rule.limit,
      rule.limit === null
        ? null
        : `${rule.wrong === 'below' ? text.below : text.above} ${number(rule.limit)}`,
    ],
    [text.rule.deadband, number(rule.deadband)],
    [text.rule.onDelay, seconds(rule.onDelayS)],
    [text.rule.offDelay, seconds(rule.offDelayS)],
    [text.rule.priority, common.priority(alarm.priority)],
    [text.rule.respond, spanOf(alarm.respondWithinMin * minuteMs)],
    [text.rule.consequence, alarm.consequence],
    [text.rule.latching, rule.latching ? text.yes : text.no],
    [text.rule.reAlarm, rule.reAlarmMin === null ? text.never : spanOf(rule.reAlarmMin * minuteMs)],
    [text.rule.shelveCap, spanOf(rule.shelveCapMin * minuteMs)],
    [text.rule.route, rule.route ?? text.defaultRoute],
  ] as const;
  return (
    <Part id="alarm-rule" title={text.definition}>
      <dl class="rule">
        {rows.map(([term, value]) =>
          value === null ? null : (
            <div key={term}>
              <dt>{term}</dt>
              <dd>{inScreenUnit(value, settings.value.temperature)}</dd>
            </div>
          ),
        )}
      </dl>
      {rule.limit === null || !/^(high|low)/.test(alarm.id) ? null : (
        <p>
          <a class="button" href={`${link({ name: 'limits' })}#${alarm.id.slice(alarm.id.indexOf('/') + 1)}`}>
            {text.changeLimit}
            <span class="unseen"> {name}</span>
          </a>
        </p>
      )}
    </Part>
  );
}

function AtStake({ detail: { bags } }: { detail: AlarmDetail }) {
  const writing = writingOf('temperature', settings.value.temperature);
  return (
    <Part id="alarm-bags" title={text.bags}>
      {bags.length === 0 ? <p class="quiet">{text.noBags}</p> : null}
      <ul class="plain-list">
        {bags.map(({ cohort, batch, bags: numbers, shelf, coreTempC, heat }) => (
          <li key={cohort}>
            <a class="row-link" href={link({ name: 'batch', id: batch })}>
              {batch}
            </a>{' '}
            {common.bags(numbers.length)}, {shelf ?? common.notPlaced},{' '}
            {text.core(written(coreTempC, writing))}
            {heat.hoursAboveWarm < 0.5 ? '' : `, ${text.warm(numberOf(heat.hoursAboveWarm, 1))}`}
          </li>
        ))}
      </ul>
    </Part>
  );
}

function Deliveries({ detail: { deliveries }, zone }: { detail: AlarmDetail; zone: string }) {
  const now = site.value.now.value;
  return (
    <Part id="alarm-deliveries" title={text.deliveries}>
      {deliveries.length === 0 ? <p class="quiet">{text.noDeliveries}</p> : null}
      <ul class="plain-list">
        {deliveries.map(
          ({ seq, recipient, channel, state, attempts, queuedAt, doneAt, nextAt, lastError }) => (
            <li key={`${seq} ${recipient} ${channel}`}>
              <strong>{text.delivery(state)}</strong> {text.to(recipient, channel)},{' '}
              {doneAt === null ? datedMomentOf(queuedAt, zone) : datedMomentOf(doneAt, zone)}
              {attempts > 1 ? `, ${text.attempts(attempts)}` : ''}
              {nextAt === null ? '' : `, ${text.next(momentNear(nextAt, now, zone))}`}
              {lastError === null || state === 'sent' ? '' : `: ${lastError}`}
            </li>
          ),
        )}
      </ul>
    </Part>
  );
}
