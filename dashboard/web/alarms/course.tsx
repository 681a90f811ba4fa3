import { useMemo } from 'preact/hooks';
import type { AlarmDetail } from '../../../shared/alarm-detail.ts';
import type { CohortCurve } from '../../../shared/forecasts.ts';
import { minuteMs } from '../../../shared/time.ts';
import { Chart } from '../chart/chart.tsx';
import { writingOf } from '../format/value.ts';
import { NotRead } from '../parts/not-read.tsx';
import { useAnswer } from '../parts/use-answer.ts';
import { link, site } from '../screen.ts';
import { settings } from '../settings.ts';
import { alarm as text } from '../text/alarm.ts';
import { common } from '../text/common.ts';
import { coursePlan } from './course-plan.ts';

interface Props {
  detail: AlarmDetail;
  course: NonNullable<AlarmDetail['course']>;
  zone: string;
}

/** What is computed of the bags that an alarm tells of, behind and a few hours ahead. */
export function Course({ detail, course, zone }: Props) {
  const { base, now } = site.value;
  const [batch, bag] = course.cohort.split('/') as [string, string];
  const path = `${base}/cohorts/${encodeURIComponent(batch)}/${bag}/curve`;
  const asked = useAnswer<CohortCurve>(path, Math.floor(now.value / (5 * minuteMs)));
  const curve = asked.value;
  const bags = detail.bags.find(({ cohort }) => cohort === course.cohort);
  const unit = settings.value.temperature;
  const plan = useMemo(() => {
    if (curve === null || bags === undefined) return null;
    return coursePlan({
      ...{ course, curve, zone, rule: detail.rule, heat: bags.heat },
      writing: course.of === 'core' ? writingOf('temperature', unit) : writingOf('humidity', unit),
      words: { ...text.course, limit: text.limit },
    });
  }, [curve, detail, unit]);
  if (bags === undefined) return <p class="quiet">{text.noCurve}</p>;
  return (
    <>
      <NotRead asked={asked} />
      {plan === null || plan.x.length < 2 ? null : (
        <Chart plan={plan} height={innerWidth < 700 ? 260 : 340} label={text.curveLabel(detail.name)} />
      )}
      <p class="quiet">
        {text.courseOf[course.of]}{' '}
        <a class="row-link" href={link({ name: 'batch', id: batch })}>
          {batch}
        </a>
        , {common.bags(bags.bags.length)}
        {bags.shelf === null ? '' : `, ${bags.shelf}`}.
      </p>
    </>
  );
}
