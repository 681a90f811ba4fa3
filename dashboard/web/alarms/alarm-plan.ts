import type { AlarmDetail } from '../../../shared/alarm-detail.ts';
import type { ChartPlan } from '../chart/plan.ts';
import { limitOf, type Writing } from '../format/value.ts';

/**
 * Adds to a chart of an alarm's channels what the alarm itself says: the limit it is judged by, and where the
 * value is expected to go, with its range, up to when that may pass the limit.
 */
export function withPrediction(
  plan: ChartPlan,
  { rule, prediction }: Pick<AlarmDetail, 'rule' | 'prediction'>,
  writing: Writing,
  words: { limit: (value: string) => string; prediction: string },
): ChartPlan {
  const [first] = plan.lines;
  const scale = first?.scale ?? Object.keys(plan.scales)[0];
  if (scale === undefined) return plan;
  const limits =
    rule.limit === null
      ? plan.limits
      : [
          {
            ...{ scale, value: writing.shown(rule.limit), strong: true },
            text: words.limit(limitOf(rule.limit, writing)),
          },
        ];
  const known = plan.scales[scale]!;
  const include = [...known.include, ...limits.map(({ value }) => value)];
  const scales = { ...plan.scales, [scale]: { ...known, include } };
  const last = plan.x.at(-1) ?? plan.from;
  const ahead = (prediction?.points ?? []).filter(({ t }) => t > last);
  if (ahead.length === 0) return { ...plan, limits, scales };
  const end = ahead.at(-1)!.t;
  const column = (pick: (value: (typeof ahead)[number]['value']) => number) => [
    ...new Array<null>(plan.x.length).fill(null),
    ...ahead.map(({ value }) => writing.shown(pick(value))),
  ];
  return {
    ...plan,
    limits,
    scales,
    to: Math.max(plan.to, end),
    x: [...plan.x, ...ahead.map(({ t }) => t)],
    lines: [
      ...plan.lines.map((line) => ({ ...line, values: [...line.values] })),
      {
        ...{ label: words.prediction, scale, hand: 1 as const },
        values: column(({ likely }) => likely),
        band: { low: column(({ low }) => low), high: column(({ high }) => high) },
      },
    ],
    moments: [...plan.moments],
  };
}
