import type { AlarmDetail, BagsAtStake } from '../../../shared/alarm-detail.ts';
import type { CohortCurve } from '../../../shared/forecasts.ts';
import { heatAllowanceHours, remembered } from '../../../shared/growth/dose.ts';
import { hourMs } from '../../../shared/time.ts';
import { type ChartPlan, emptyPlan } from '../chart/plan.ts';
import { limitOf, type Writing } from '../format/value.ts';

interface Input {
  course: NonNullable<AlarmDetail['course']>;
  rule: AlarmDetail['rule'];
  curve: CohortCurve;
  /** Exposure of the bags now and what each hour adds. */
  heat: BagsAtStake['heat'];
  zone: string;
  /** How a core's temperature, or a share of the allowance [%], is written. */
  writing: Writing;
  words: { core: string; heat: string; ahead: string; limit: (value: string) => string };
}

/** How far ahead a course is drawn. */
const aheadMs = 6 * hourMs;
const heatStepH = 0.5;

const shareOf = (hours: number): number => (100 * hours) / heatAllowanceHours;

/** Points so far and to come, in the alarm's own unit. */
function pointsOf({ course, curve, heat }: Pick<Input, 'course' | 'curve' | 'heat'>) {
  const { now } = curve;
  const within = curve.points.filter(({ t }) => t >= course.from && t <= now + aheadMs);
  const so = within.filter(({ t }) => t <= now);
  if (course.of === 'core') {
    const point = ({ t, coreTempC }: CohortCurve['points'][number]) => ({ t, value: coreTempC });
    return { past: so.map(point), ahead: within.filter(({ t }) => t > now).map(point) };
  }
  const past = so.flatMap(({ t, recentHours }) =>
    recentHours === null ? [] : { t, value: shareOf(recentHours) },
  );
  const ahead = Array.from({ length: aheadMs / hourMs / heatStepH }, (_, index) => {
    const hours = heatStepH * (index + 1);
    return {
      t: now + hours * hourMs,
      value: shareOf(remembered(heat.recentHours, heat.perHour, hours)),
    };
  });
  return { past, ahead };
}

/**
 * An alarm on bags: their computed core temperature, or the heat that they have had, with the limit; and where it
 * goes, for heat at the core's temperature of now.
 */
export function coursePlan({ course, rule, curve, heat, zone, writing, words }: Input): ChartPlan {
  const { past, ahead } = pointsOf({ course, curve, heat });
  const points = [...past, ...ahead];
  const shown = points.map(({ value }) => writing.shown(value));
  const limit = rule.limit === null ? null : writing.shown(rule.limit);
  return {
    ...emptyPlan(zone, points[0]?.t ?? course.from, points.at(-1)?.t ?? course.to),
    x: points.map(({ t }) => t),
    scales: {
      course: {
        unit: writing.unit,
        decimals: writing.decimals,
        side: 'left',
        range: null,
        include: limit === null ? [] : [limit],
      },
    },
    lines: [
      {
        label: words[course.of],
        scale: 'course',
        values: shown.map((value, index) => (index < past.length ? value : null)),
        band: null,
        hand: 0,
      },
      {
        label: words.ahead,
        scale: 'course',
        // Begins where the other line ends.
        values: shown.map((value, index) => (index < past.length - 1 ? null : value)),
        band: null,
        hand: 1,
      },
    ],
    limits:
      limit === null
        ? []
        : [{ scale: 'course', value: limit, text: words.limit(limitOf(rule.limit!, writing)), strong: true }],
    moments: [{ t: curve.now, text: '' }],
  };
}
