import '../styles/alarms.css';
import { useSignal } from '@preact/signals';
import { dayMs } from '../../../shared/time.ts';
import type { Nuisance } from '../../../shared/tuning.ts';
import { momentNear, spanOf } from '../format/time.ts';
import { inScreenUnit, numberOf, percentOf, withUnit } from '../format/value.ts';
import { useAnswer } from '../parts/use-answer.ts';
import { link, site } from '../screen.ts';
import { settings } from '../settings.ts';
import { alarms as text } from '../text/alarms.ts';
import { common } from '../text/common.ts';
import { nuisance as words } from '../text/nuisance.ts';
import { AlarmTabs } from './alarm-tabs.tsx';

const spans = [1, 7, 30, 90];

/** How much the alarms ask of people: how often, how many at once, and which of them ask too much. */
export function NuisancePage() {
  const { state, base, now } = site.value;
  const zone = state.value!.farm.site.timeZone;
  const days = useSignal(30);
  const asOf = useSignal(Math.floor(now.peek()));
  const from = Math.max(0, asOf.value - days.value * dayMs);
  const asked = useAnswer<Nuisance>(`${base}/alarms/nuisance?from=${from}&to=${asOf.value}`);
  return (
    <div class="alarms">
      <div class="page-head">
        <h1>{common.pageName.nuisance}</h1>
        <AlarmTabs />
        <fieldset class="spans-of-days">
          <legend class="unseen">{text.filters.days}</legend>
          {spans.map((span) => (
            <label class="kind" key={span}>
              <input
                type="radio"
                name="days"
                checked={days.value === span}
                onChange={() => {
                  days.value = span;
                  asOf.value = Math.floor(now.peek());
                }}
              />
              <span>{text.lastDays(span)}</span>
            </label>
          ))}
        </fieldset>
      </div>
      {asked.failed === null ? null : <p class="page-note">{common.failed(asked.failed)}</p>}
      {asked.value === null ? null : <Figures figures={asked.value} now={now.value} zone={zone} />}
    </div>
  );
}

function Figures({ figures, now, zone }: { figures: Nuisance; now: number; zone: string }) {
  const { alarms, perDay, byPriority, floods, floodShare, offenders, stale } = figures;
  const known = byPriority[1] + byPriority[2] + byPriority[3];
  const share = (count: number) => (known === 0 ? '–' : percentOf(count / known));
  return (
    <>
      <p class="quiet">{words.intro}</p>
      <dl class="figures card">
        <Figure name={words.alarms} value={String(alarms)} aim={words.perDay(numberOf(perDay, 1))} />
        <Figure
          name={words.priorities}
          value={[3, 2, 1].map((p) => share(byPriority[p as 1])).join(' / ')}
          aim={words.prioritiesAim}
        />
        <Figure
          name={words.floods}
          value={String(floods.length)}
          aim={words.floodShare(withUnit(numberOf(100 * floodShare, 1), '%'))}
        />
        <Figure name={words.stale} value={String(stale.length)} aim={words.staleAim} />
      </dl>
      <Rates periods={figures.periods} />
      <section class="card" aria-labelledby="offenders">
        <h2 id="offenders">{words.offenders}</h2>
        {offenders.length === 0 ? (
          <p class="quiet">{words.noOffenders}</p>
        ) : (
          <div class="table-wrap">
            <table class="stack">
              <thead>
                <tr>
                  <th scope="col">{words.head.alarm}</th>
                  <th scope="col" class="number">
                    {words.head.count}
                  </th>
                  <th scope="col" class="number">
                    {words.head.share}
                  </th>
                  <th scope="col" class="number">
                    {words.head.chattering}
                  </th>
                  <th scope="col" class="number">
                    {words.head.fleeting}
                  </th>
                </tr>
              </thead>
              <tbody>
                {offenders.map(({ alarm, title, count, share: part, chattering, fleeting }) => (
                  <tr key={alarm}>
                    <td>
                      <a class="row-link" href={link({ name: 'alarm', id: alarm })}>
                        {inScreenUnit(title, settings.value.temperature)}
                      </a>
                    </td>
                    <td class="number">{count}</td>
                    <td class="number">{percentOf(part)}</td>
                    <td class="number">{chattering}</td>
                    <td class="number">{fleeting}</td>
                  </tr>
                ))}
              </tbody>
            </table>
          </div>
        )}
      </section>
      {floods.length === 0 ? null : (
        <section class="card" aria-labelledby="floods">
          <h2 id="floods">{words.floods}</h2>
          <ul class="plain-list">
            {floods.map(({ from, to, alarms: many, peak }) => (
              <li key={from}>{words.flood(momentNear(from, now, zone), spanOf(to - from), many, peak)}</li>
            ))}
          </ul>
        </section>
      )}
      {stale.length === 0 ? null : (
        <section class="card" aria-labelledby="stale">
          <h2 id="stale">{words.stale}</h2>
          <ul class="plain-list">
            {stale.map(({ alarm, title, since, until }) => (
              <li key={`${alarm} ${since}`}>
                <a class="row-link" href={link({ name: 'alarm', id: alarm })}>
                  {inScreenUnit(title, settings.value.temperature)}
                </a>{' '}
                {words.stood(spanOf((until ?? now) - since), until === null)}
              </li>
            ))}
          </ul>
        </section>
      )}
    </>
  );
}

function Figure({ name, value, aim }: { name: string; value: string; aim: string }) {
  return (
    <div class="figure-box">
      <dt>{name}</dt>
      <dd>
        <strong>{value}</strong>
        <span class="quiet">{aim}</span>
      </dd>
    </div>
  );
}

/** How the 10-min periods were spread: bars whose lengths are on a root scale, so that a rare flood is seen. */
function Rates({ periods }: Pick<Nuisance, 'periods'>) {
  const rows = (['none', 'upTo2', 'upTo5', 'upTo10', 'more'] as const).map(
    (key) => [key, periods[key]] as const,
  );
  const all = rows.reduce((sum, [, count]) => sum + count, 0);
  return (
    <section class="card" aria-labelledby="rates">
      <h2 id="rates">{words.rates}</h2>
      <table class="rates">
        <thead class="unseen">
          <tr>
            <th scope="col">{words.rateHead.rate}</th>
            <th scope="col">{words.rateHead.bar}</th>
            <th scope="col">{words.rateHead.count}</th>
          </tr>
        </thead>
        <tbody>
          {rows.map(([key, count]) => (
            <tr key={key} class={key === 'more' && count > 0 ? 'rates-flood' : ''}>
              <th scope="row">{words.rate[key]}</th>
              <td class="rates-bar">
                <svg viewBox="0 0 100 10" preserveAspectRatio="none" aria-hidden="true">
                  <rect width={100 * Math.sqrt(count / Math.max(1, all))} height="10" />
                </svg>
              </td>
              <td class="number">{count}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}
