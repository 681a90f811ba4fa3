import type { LiveState } from '../../../shared/live.ts';
import type { UnloadReport } from '../../../shared/unloads.ts';
import { momentNear } from '../format/time.ts';
import { inScreenUnit, numberOf, percentOf, writingOf } from '../format/value.ts';
import { link, site } from '../screen.ts';
import { settings } from '../settings.ts';
import { unload as text } from '../text/unload.ts';
import { batchName } from './names.ts';
import { stepWords, tempWords } from './underway-words.ts';

interface Props {
  live: LiveState;
  report: UnloadReport | null;
}

/** What came of an unload: its peak against the plan, heat by batch, and what it taught. */
export function Report({ live, report }: Props) {
  const { temperature } = settings.value;
  if (report === null)
    return (
      <section class="card" aria-labelledby="report">
        <h2 id="report">{text.report}</h2>
        <p class="quiet">{text.reportNone}</p>
      </section>
    );
  return (
    <section class="card" aria-labelledby="report">
      <h2 id="report">{text.report}</h2>
      <p class="answer-chief">{peakWords(report, live).join(' ')}</p>
      {report.inoculateAt === null ? null : (
        <p>
          {text.reportInoculate(
            momentNear(report.inoculateAt, site.value.now.value, live.farm.site.timeZone),
          )}
        </p>
      )}
      <h3>{text.reportDose}</h3>
      <ReportDoses live={live} cohorts={report.cohorts} />
      <h3>{text.taught}</h3>
      {report.taught.length === 0 ? <p class="quiet">{text.taughtNone}</p> : null}
      <ul class="plain-list">
        {report.taught.map((one) => (
          <li key={one}>{inScreenUnit(one, temperature)}</li>
        ))}
      </ul>
    </section>
  );
}

function peakWords({ peakC, peakAt, planned }: UnloadReport, live: LiveState): string[] {
  const { temperature } = settings.value;
  const writing = writingOf('temperature', temperature);
  const clock = (t: number) => momentNear(t, site.value.now.value, live.farm.site.timeZone);
  const shown = (tempC: number) => numberOf(writing.shown(tempC), writing.decimals);
  if (peakC === null || peakAt === null) return [text.reportPeakUnknown];
  const said = [text.reportPeak(tempWords(peakC, temperature), clock(peakAt))];
  if (planned === null) return said;
  const { low, likely, high } = planned.peakC;
  const inside = peakC >= low && peakC <= high;
  const off = peakC - likely;
  return [
    ...said,
    text.reportPlanned(tempWords(likely, temperature), shown(low), shown(high), clock(planned.at.likely)),
    inside ? text.reportInside : text.reportOutside(stepWords(Math.abs(off), temperature), off > 0),
  ];
}

function ReportDoses({ live, cohorts }: { live: LiveState; cohorts: UnloadReport['cohorts'] }) {
  if (cohorts.length === 0) return <p class="quiet">{text.reportDoseNone}</p>;
  const head = text.reportHead;
  return (
    <div class="table-wrap">
      <table class="stack">
        <thead>
          <tr>
            <th scope="col">{head.what}</th>
            <th scope="col">{head.shelf}</th>
            <th scope="col" class="number">
              {head.gained}
            </th>
            <th scope="col" class="number">
              {head.share}
            </th>
          </tr>
        </thead>
        <tbody>
          {cohorts.map(({ cohort, batch, shelf, gainedHours, share }) => (
            <tr key={cohort}>
              <td>
                <a class="row-link" href={link({ name: 'batch', id: batch })}>
                  {batchName(batch, live)}
                </a>
              </td>
              <td>{shelf}</td>
              <td class="number" data-label={head.gained}>
                {text.hours(numberOf(gainedHours, 2))}
              </td>
              <td class={share >= 1 ? 'number dose-over' : 'number'} data-label={head.share}>
                {percentOf(share)}
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}
