import { useMemo } from 'preact/hooks';
import type { FarmView } from '../../../shared/live.ts';
import { minuteMs } from '../../../shared/time.ts';
import type { BackTest, BackTestRun, LimitChange, LimitedBand } from '../../../shared/tuning.ts';
import { Chart } from '../chart/chart.tsx';
import { useSeries } from '../charts/use-series.ts';
import { datedMomentOf, spanOf } from '../format/time.ts';
import { inScreenUnit, numberOf } from '../format/value.ts';
import { site } from '../screen.ts';
import { settings } from '../settings.ts';
import { limits as text } from '../text/limits.ts';
import { backTestPlan } from './back-test-plan.ts';

interface Props {
  band: LimitedBand;
  farm: FarmView;
  set: LimitChange;
  result: BackTest;
}

/** What a change would have meant: a picture, the sums of both runs, and alarm by alarm. */
export function BackTestView({ band, farm, set, result }: Props) {
  const { from, to, now, changed, channel } = result;
  const zone = farm.site.timeZone;
  return (
    <section class="back-test" aria-label={text.result}>
      <h3>{text.resultOf(datedMomentOf(from, zone), datedMomentOf(to, zone))}</h3>
      {channel === null ? null : (
        <Picture band={band} farm={farm} set={set} result={result} channel={channel} />
      )}
      <div class="table-wrap">
        <table class="back-test-sums">
          <thead>
            <tr>
              <td />
              <th scope="col" class="number">
                {text.asNow}
              </th>
              <th scope="col" class="number">
                {text.asChanged}
              </th>
            </tr>
          </thead>
          <tbody>
            {sums(now, changed, result.unit).map(([name, before, after]) => (
              <tr key={name}>
                <th scope="row">{name}</th>
                <td class="number">{before}</td>
                <td class="number">{after}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      <Pairs result={result} zone={zone} />
    </section>
  );
}

function sums(now: BackTestRun, changed: BackTestRun, unit: string): [string, string, string][] {
  const step = unit === '°C' ? 'K' : unit;
  const row = (name: string, of: (run: BackTestRun) => string): [string, string, string] => [
    name,
    of(now),
    of(changed),
  ];
  return [
    row(text.sum.alarms, ({ episodes }) => String(episodes.length)),
    row(text.sum.perWeek, ({ perWeek }) => numberOf(perWeek, 1)),
    row(text.sum.held, ({ heldMs }) => spanOf(heldMs)),
    row(text.sum.unseen, ({ unseen }) => `${numberOf(unseen, 1)} ${step}·h`),
    row(text.sum.fleeting, ({ fleeting }) => String(fleeting)),
    row(text.sum.chattering, ({ chattering }) => String(chattering)),
    row(text.sum.floods, ({ floods }) => String(floods)),
  ];
}

function Picture({ band, farm, set, result, channel }: Props & { channel: string }) {
  const { temperature } = settings.value;
  const { loaded } = useSeries(site.value.base, [channel], Math.floor(result.from), Math.ceil(result.to));
  const [series] = loaded?.series ?? [];
  const plan = useMemo(
    () =>
      series === undefined
        ? null
        : backTestPlan({
            ...{ farm, band, set, result, series, temperature },
            words: {
              now: text.stripNow,
              changed: text.stripChanged,
              limitNow: text.limitNow,
              limitNew: text.limitNew,
            },
          }),
    [series, result, temperature],
  );
  if (plan === null || plan.x.length === 0) return null;
  return <Chart plan={plan} height={innerWidth < 700 ? 260 : 340} label={text.picture(band.name)} />;
}

/** More than these are a nuisance in themselves; the sums and the picture tell of all. */
const pairsShown = 40;

function Pairs({ result: { pairs }, zone }: { result: BackTest; zone: string }) {
  const unit = settings.value.temperature;
  if (pairs.length === 0) return <p>{text.noAlarms}</p>;
  return (
    <div class="table-wrap">
      <table class="stack">
        <thead>
          <tr>
            <th scope="col">{text.head.alarm}</th>
            <th scope="col">{text.head.when}</th>
            <th scope="col" class="number">
              {text.head.long}
            </th>
            <th scope="col">{text.head.difference}</th>
          </tr>
        </thead>
        <tbody>
          {pairs.slice(0, pairsShown).map(({ now, changed, leadMin }) => {
            const shown = (changed ?? now)!;
            const { raisedAt, clearedAt } = shown;
            return (
              <tr key={`${shown.alarm} ${raisedAt}`}>
                <td>{inScreenUnit(shown.title, unit)}</td>
                <td class="when">{datedMomentOf(raisedAt, zone)}</td>
                <td class="number">{clearedAt === null ? text.stillHolds : spanOf(clearedAt - raisedAt)}</td>
                <td>
                  {changed === null ? (
                    <strong>{text.gone}</strong>
                  ) : now === null ? (
                    <strong>{text.fresh}</strong>
                  ) : (
                    text.lead(
                      leadMin === null ? 0 : Math.round(leadMin),
                      spanOf(Math.abs(leadMin ?? 0) * minuteMs),
                    )
                  )}
                </td>
              </tr>
            );
          })}
        </tbody>
      </table>
      {pairs.length > pairsShown ? <p class="quiet">{text.morePairs(pairs.length - pairsShown)}</p> : null}
    </div>
  );
}
