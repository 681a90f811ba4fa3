import type { FarmView } from '../../../shared/live.ts';
import type { Series } from '../../../shared/readings.ts';
import type { AlarmEpisode, BackTest, LimitChange, LimitedBand } from '../../../shared/tuning.ts';
import type { ChartPlan } from '../chart/plan.ts';
import { seriesPlan } from '../charts/series-plan.ts';
import { limitOf, type TemperatureUnit, writingOf } from '../format/value.ts';

interface Input {
  farm: FarmView;
  band: LimitedBand;
  set: LimitChange;
  result: BackTest;
  series: Series;
  temperature: TemperatureUnit;
  words: {
    now: string;
    changed: string;
    limitNow: (value: string) => string;
    limitNew: (value: string) => string;
  };
}

const levels = ['highHigh', 'high', 'low', 'lowLow'] as const;

/** The past under both limits: the worst channel's curve, both limit lines, and when each run's alarms held. */
export function backTestPlan({ farm, band, set, result, series, temperature, words }: Input): ChartPlan {
  const { from, to } = result;
  const plan = seriesPlan({ farm, series: [series], from, to, ticks: [], temperature });
  const [line] = plan.lines;
  const quantity = farm.channels.find(({ id }) => id === series.channel)?.quantity;
  const spansOf = (episodes: readonly AlarmEpisode[]) =>
    episodes.map(({ raisedAt, clearedAt }) => [raisedAt, clearedAt ?? to] as const);
  plan.strips = [
    { label: words.now, kind: 'tried', spans: spansOf(result.now.episodes) },
    { label: words.changed, kind: 'held', spans: spansOf(result.changed.episodes) },
  ];
  plan.limits = [];
  // A curve of another quantity than the limit's (VPD shown by its humidity) can carry no limit line.
  if (line === undefined || quantity !== band.measure) return plan;
  const writing = writingOf(quantity, temperature);
  for (const level of levels) {
    const now = band.holds[level];
    const tried = set[level] === undefined ? now : set[level];
    for (const [value, strong] of [
      [now, false],
      [tried, true],
    ] as const) {
      if (value === null || (strong && value === now)) continue;
      const shown = writing.shown(value);
      const text = (strong ? words.limitNew : words.limitNow)(limitOf(value, writing));
      plan.limits.push({ scale: line.scale, value: shown, text, strong });
      // Far outer limits must not flatten the curve.
      if (strong || level === 'high' || level === 'low') plan.scales[line.scale]!.include.push(shown);
    }
  }
  return plan;
}
