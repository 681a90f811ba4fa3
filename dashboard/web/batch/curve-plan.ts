import type { Cohort } from '../../../shared/batches.ts';
import type { CohortCurve, CohortForecast } from '../../../shared/forecasts.ts';
import type { EpochMs } from '../../../shared/time.ts';
import { type ChartPlan, emptyPlan } from '../chart/plan.ts';
import type { Writing } from '../format/value.ts';
import { batch as text } from '../text/batch.ts';
import { charts } from '../text/charts.ts';

interface Input {
  curve: CohortCurve;
  cohort: Cohort | undefined;
  forecast: CohortForecast | undefined;
  now: EpochMs;
  zone: string;
}

const spanOf = ({ points }: CohortCurve): [EpochMs, EpochMs] => [points[0]?.t ?? 0, points.at(-1)?.t ?? 1];

/** Colonized share with its band, what was seen, and the ready interval at the top. */
export function sharePlan({ curve, cohort, forecast, now, zone }: Input): ChartPlan {
  const [from, to] = spanOf(curve);
  const { points } = curve;
  const percent = (share: number) => share * 100;
  const ready = forecast?.ready.at ?? null;
  return {
    ...emptyPlan(zone, from, to),
    x: points.map(({ t }) => t),
    scales: { share: { unit: '%', decimals: 0, side: 'left', range: [0, 106], include: [] } },
    lines: [
      {
        label: text.shareLine,
        scale: 'share',
        values: points.map(({ share }) => percent(share.likely)),
        band: {
          low: points.map(({ share }) => percent(share.low)),
          high: points.map(({ share }) => percent(share.high)),
        },
        hand: 0,
      },
    ],
    moments: [{ t: now, text: charts.now }],
    ticks: [...(cohort?.shakes ?? [])].map((t) => ({ t, kind: 'event' as const })),
    points: (cohort?.checks ?? []).map(({ t, share }) => ({ t, value: percent(share), scale: 'share' })),
    spans:
      ready === null
        ? []
        : [{ from: ready.earliest, likely: ready.likely, to: ready.latest, scale: 'share', value: 98 }],
  };
}

/** The core's temperature, and the air that it follows; air that no sensor told has a line of its own. */
export function corePlan({ curve, now, zone }: Input, writing: Writing): ChartPlan {
  const [from, to] = spanOf(curve);
  const { points } = curve;
  const guessed = (at: number): boolean => points[at]?.air === 'filled';
  const airOf = (draws: (at: number) => boolean) =>
    points.map(({ airTempC }, at) => (airTempC === null || !draws(at) ? null : writing.shown(airTempC)));
  return {
    ...emptyPlan(zone, from, to),
    x: points.map(({ t }) => t),
    scales: {
      core: { unit: writing.unit, decimals: writing.decimals, side: 'left', range: null, include: [] },
    },
    lines: [
      {
        label: text.coreLine,
        scale: 'core',
        values: points.map(({ coreTempC }) => writing.shown(coreTempC)),
        band: null,
        hand: 0,
      },
      {
        label: text.airLine,
        scale: 'core',
        values: airOf((at) => !guessed(at)),
        band: null,
        hand: 2,
      },
      {
        label: text.airGuessed,
        scale: 'core',
        // Reaches to the measured points on either side of a gap.
        values: airOf((at) => guessed(at - 1) || guessed(at) || guessed(at + 1)),
        band: null,
        hand: 3,
      },
    ],
    moments: [{ t: now, text: '' }],
  };
}
