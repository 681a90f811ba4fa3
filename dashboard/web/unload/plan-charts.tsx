import { useMemo } from 'preact/hooks';
import type { LiveState } from '../../../shared/live.ts';
import type { Series } from '../../../shared/readings.ts';
import { hourMs } from '../../../shared/time.ts';
import { expectedAt, warmsRoom } from '../../../shared/unload/expected.ts';
import type { UnloadEvent, UnloadNow, UnloadPlan } from '../../../shared/unloads.ts';
import { Chart } from '../chart/chart.tsx';
import { momentOf } from '../format/time.ts';
import { numberOf, type Writing, writingOf, written } from '../format/value.ts';
import { site } from '../screen.ts';
import { settings } from '../settings.ts';
import { unload as text } from '../text/unload.ts';
import { roomName } from './names.ts';
import { airPlan, corePlan } from './unload-plans.ts';

interface Props {
  live: LiveState;
  plan: UnloadPlan;
  /** What was measured since it began; nothing of one that lies ahead. */
  series?: readonly Series[];
  /** What probes in the load told. */
  probed?: readonly Series[] | undefined;
  events?: readonly UnloadEvent[];
  state?: UnloadNow | null;
  /** Tells charts of several unloads on one page apart. */
  id?: string;
}

const noSeries: readonly Series[] = [];
const noEvents: readonly UnloadEvent[] = [];

/** Air of the room and core of the load on the same hours, with their ranges, and a table behind them. */
export function PlanCharts({
  live,
  plan,
  series = noSeries,
  probed = noSeries,
  events = noEvents,
  state = null,
  id = 'plan',
}: Props) {
  const { temperature } = settings.value;
  const { farm } = live;
  const zone = farm.site.timeZone;
  // The charts are drawn anew with what they show, not with each second.
  const minute = Math.floor(site.value.now.value / 60_000);
  const writing = writingOf('temperature', temperature);
  const plans = useMemo(() => {
    const scene = { plan, now: site.peek().now.peek(), zone, writing };
    const air = airPlan(scene, { farm, series });
    const core = corePlan(scene, { farm, events, state, probed });
    // Both on the same hours, so that one stands above the other.
    const span = { from: Math.min(air.from, core.from), to: Math.max(air.to, core.to) };
    return { air: { ...air, ...span }, core: { ...core, ...span } };
  }, [plan, series, probed, events, state?.asOf, temperature, farm, series.length > 0 ? minute : 0]);
  const small = innerWidth < 700;
  const name = roomName(plan.room, farm);
  return (
    <div class="card">
      <h2>{text.air(name)}</h2>
      <Chart
        plan={plans.air}
        height={small ? 240 : 300}
        label={series.length > 0 ? text.airLiveLabel(name) : text.airLabel(name)}
        syncKey={`unload-${id}`}
      />
      {warmsRoom(plan) ? (
        <p class="quiet chart-key">{plan.likelyIs === undefined ? text.airKeyBefore : text.airKey}</p>
      ) : null}
      <h2>{text.core}</h2>
      <Chart
        plan={plans.core}
        height={small ? 220 : 240}
        label={state === null ? text.coreLabel : text.coreLiveLabel}
        syncKey={`unload-${id}`}
      />
      <p class="quiet">{text.chartKey}</p>
      <Table plan={plan} state={state} zone={zone} writing={writing} />
    </div>
  );
}

interface TableProps {
  plan: UnloadPlan;
  state: UnloadNow | null;
  zone: string;
  writing: Writing;
}

/** A row each half hour, so that it can be read aloud. */
function Table({ plan, state, zone, writing }: TableProps) {
  const head = text.tableHead;
  let last = Number.NEGATIVE_INFINITY;
  const rows = plan.air.filter(({ t }) => {
    const taken = t - last >= hourMs / 2;
    if (taken) last = t;
    return taken;
  });
  const shown = (tempC: number) => numberOf(writing.shown(tempC), writing.decimals);
  return (
    <details>
      <summary>{text.table}</summary>
      <div class="table-wrap">
        <table>
          <thead>
            <tr>
              <th scope="col">{head.time}</th>
              {[head.air, head.airRange, head.core, head.coreRange].map((word, at) => (
                <th scope="col" class="number" key={at}>
                  {word}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {rows.map(({ t, value }) => {
              const inside = expectedAt(state?.core ?? plan.core, t);
              return (
                <tr key={t}>
                  <td class="when">{momentOf(t, zone)}</td>
                  <td class="number">{written(value.likely, writing)}</td>
                  <td class="number">{`${shown(value.low)}–${shown(value.high)}`}</td>
                  <td class="number">{inside === null ? '' : written(inside.likely, writing)}</td>
                  <td class="number">
                    {inside === null ? '' : `${shown(inside.low)}–${shown(inside.high)}`}
                  </td>
                </tr>
              );
            })}
          </tbody>
        </table>
      </div>
    </details>
  );
}
