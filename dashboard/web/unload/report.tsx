import type { LiveState } from '../../../shared/live.ts';
import type { UnloadReport } from '../../../shared/unloads.ts';
import { momentNear } from '../format/time.ts';
import { inScreenUnit, numberOf, percentOf, writingOf } from '../format/value.ts';
import { site } from '../screen.ts';
import { settings } from '../settings.ts';
import { unload as text } from '../text/unload.ts';
import { peakWhen } from './answer-words.ts';
import { DoseTable } from './dose-table.tsx';
import { stepWords, tempWords } from './underway-words.ts';

interface Props {
  live: LiveState;
  report: UnloadReport | null;
  /** What is said where there is none. */
  none: string;
}

/** What came of an unload: its peak against the plan, heat by batch, and what it taught. */
export function Report({ live, report, none }: Props) {
  const { temperature } = settings.value;
  if (report === null)
    return (
      <section class="card" aria-labelledby="report">
        <h2 id="report">{text.report}</h2>
        <p class="quiet">{none}</p>
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
    text.reportPlanned(
      tempWords(likely, temperature),
      shown(low),
      shown(high),
      peakWhen(planned.at, { now: site.value.now.value, zone: live.farm.site.timeZone }),
    ),
    inside ? text.reportInside : text.reportOutside(stepWords(Math.abs(off), temperature), off > 0),
  ];
}

function ReportDoses({ live, cohorts }: { live: LiveState; cohorts: UnloadReport['cohorts'] }) {
  if (cohorts.length === 0) return <p class="quiet">{text.reportDoseNone}</p>;
  const head = text.reportHead;
  return (
    <DoseTable
      live={live}
      head={head}
      rows={cohorts}
      columns={[
        { head: head.gained, cell: ({ gainedHours }) => text.hours(numberOf(gainedHours, 2)) },
        {
          head: head.share,
          isOver: ({ share }) => share >= 1,
          cell: ({ share }) => percentOf(share),
        },
      ]}
    />
  );
}
