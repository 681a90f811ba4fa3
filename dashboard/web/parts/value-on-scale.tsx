import { hourMs, minuteMs } from '../../../shared/time.ts';
import type { PlaceValue } from '../climate.ts';
import { Scale } from '../drawing/scale.tsx';
import { planScale } from '../drawing/value-scale.ts';
import { momentNear } from '../format/time.ts';
import { limitOf, numberOf, trendWay, type Writing, writingOf } from '../format/value.ts';
import { site } from '../screen.ts';
import { settings } from '../settings.ts';
import { common } from '../text/common.ts';
import { wall } from '../text/wall.ts';

interface Props {
  value: PlaceValue;
  limits: { low: number | null; high: number | null };
  /** How far ahead the arrow looks. */
  aheadMin: number;
  alarmed: boolean;
  /** Said after the unit. */
  word: string | null;
}

/** Span of a scale's open side, in SI. */
const openSpan: Partial<Record<PlaceValue['quantity'], number>> = {
  temperature: 8,
  humidity: 30,
  co2: 2_000,
};

/** A value with its unit, its trend or its age, on its own scale. Old and suspect values say so themselves. */
export function ValueOnScale({ value, limits, aheadMin, alarmed, word }: Props) {
  const writing = writingOf(value.quantity, settings.value.temperature);
  const trusted = value.trust === 'good' && !site.value.outOfContact.value;
  const trend = trusted ? value.trendPerH : null;
  const way = trend === null ? null : trendWay(value.quantity, trend);
  const ahead =
    trend === null || way === 'steady' ? null : value.value + (trend * aheadMin * minuteMs) / hourMs;
  const plan = planScale({ value: value.value, ...limits, ahead, openSpan: openSpan[value.quantity] ?? 10 });
  const shown = numberOf(writing.shown(value.value), writing.decimals);
  const [low, high] = [limits.low, limits.high].map((limit) =>
    limit === null ? null : limitOf(limit, writing),
  );
  const tone = !trusted ? 'value-old' : alarmed || plan?.outside ? 'value-abnormal' : '';
  return (
    <div class={`value ${tone}`}>
      <span class="value-number">{shown}</span>
      <span class="value-side">
        <span class="value-unit">{word === null ? writing.unit : `${writing.unit} ${word}`}</span>
        <Trend value={value} writing={writing} trusted={trusted} />
      </span>
      {plan === null ? null : (
        <Scale
          plan={plan}
          lowText={low ?? null}
          highText={high ?? null}
          label={wall.scale(
            common.quantity[value.quantity],
            `${shown} ${writing.unit}`,
            low ?? null,
            high ?? null,
            way === null ? common.suspect : common.trend[way],
          )}
        />
      )}
    </div>
  );
}

function Trend({ value, writing, trusted }: { value: PlaceValue; writing: Writing; trusted: boolean }) {
  const { state, now } = site.value;
  if (!trusted) {
    const zone = state.value?.farm.site.timeZone ?? 'UTC';
    const words =
      value.trust === 'suspect' ? common.suspect : common.oldSince(momentNear(value.t, now.value, zone));
    return <span class="value-trend value-doubt">{words}</span>;
  }
  if (value.trendPerH === null) return null;
  const way = trendWay(value.quantity, value.trendPerH);
  if (way === 'steady') return <span class="value-trend">{common.trend.steady}</span>;
  return (
    <span class="value-trend">
      <svg class={`trend-arrow trend-${way}`} viewBox="0 0 20 18" role="img" aria-label={common.trend[way]}>
        <path d="M10 1 L19 17 H1 Z" />
      </svg>
      {common.perHour(numberOf(Math.abs(writing.shownStep(value.trendPerH)), 1))}
    </span>
  );
}
