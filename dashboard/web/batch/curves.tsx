import { useMemo } from 'preact/hooks';
import type { Cohort } from '../../../shared/batches.ts';
import type { CohortCurve, CohortForecast } from '../../../shared/forecasts.ts';
import { dayMs } from '../../../shared/time.ts';
import { Chart } from '../chart/chart.tsx';
import { momentOf } from '../format/time.ts';
import { percentOf, writingOf, written } from '../format/value.ts';
import { useAnswer } from '../parts/use-answer.ts';
import { site } from '../screen.ts';
import { settings } from '../settings.ts';
import { batch as text } from '../text/batch.ts';
import { common } from '../text/common.ts';
import { corePlan, sharePlan } from './curve-plan.ts';

interface Props {
  what: string;
  cohort: Cohort;
  forecast: CohortForecast | undefined;
}

/** The curve is asked for anew at most this often, though forecasts come each minute. */
const renewMs = 60_000;

/** Growth with its band, past and ahead, and the core's temperature under it on the same days. */
export function Curves({ what, cohort, forecast }: Props) {
  const stamp = forecast === undefined ? null : Math.floor(forecast.asOf / renewMs);
  const [batchId, bag] = cohort.id.split('/') as [string, string];
  const path = `${site.value.base}/cohorts/${encodeURIComponent(batchId)}/${bag}/curve`;
  const asked = useAnswer<CohortCurve>(path, `${stamp} ${cohort.checks.length} ${cohort.shakes.length}`);
  const curve = asked.value;
  const zone = site.value.state.value?.farm.site.timeZone ?? 'UTC';
  const unit = settings.value.temperature;
  const plans = useMemo(() => {
    if (curve === null || curve.points.length < 2) return null;
    const input = { curve, cohort, forecast, now: curve.now, zone };
    return { share: sharePlan(input), core: corePlan(input, writingOf('temperature', unit)) };
  }, [curve, cohort.id, unit, zone]);
  return (
    <section class="card curves" aria-labelledby="curve">
      <h2 id="curve">{text.curve}</h2>
      {plans === null || curve === null ? (
        <p class="page-note">{asked.failed === null ? text.noCurve : common.failed(asked.failed)}</p>
      ) : (
        <>
          <Chart plan={plans.share} height={340} label={text.curveLabel(what)} syncKey="batch" />
          <p class="quiet curves-key">{text.curveKey}</p>
          <Chart plan={plans.core} height={210} label={text.coreLabel(what)} syncKey="batch" />
          <CurveTable curve={curve} zone={zone} />
        </>
      )}
    </section>
  );
}

/** A row a day, so that it can be read aloud. */
function CurveTable({ curve, zone }: { curve: CohortCurve; zone: string }) {
  const writing = writingOf('temperature', settings.value.temperature);
  let lastDay = -1;
  const daily = curve.points.filter(({ t }) => {
    const day = Math.floor((t - curve.points[0]!.t) / dayMs);
    const first = day !== lastDay;
    lastDay = day;
    return first;
  });
  const head = text.tableHead;
  return (
    <details>
      <summary>{text.table}</summary>
      <div class="table-wrap">
        <table>
          <thead>
            <tr>
              <th scope="col">{head.time}</th>
              <th scope="col" class="number">
                {head.share}
              </th>
              <th scope="col" class="number">
                {head.band}
              </th>
              <th scope="col" class="number">
                {head.core}
              </th>
            </tr>
          </thead>
          <tbody>
            {daily.map(({ t, share, coreTempC }) => (
              <tr key={t}>
                <td class="when">{momentOf(t, zone)}</td>
                <td class="number">{percentOf(share.likely)}</td>
                <td class="number">{`${percentOf(share.low)} – ${percentOf(share.high)}`}</td>
                <td class="number">{written(coreTempC, writing)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
    </details>
  );
}
