import { useSignal } from '@preact/signals';
import type { FarmView } from '../../../shared/live.ts';
import type { Series, SeriesPoint } from '../../../shared/readings.ts';
import { datedMomentOf } from '../format/time.ts';
import { numberOf, writingOf } from '../format/value.ts';
import { settings } from '../settings.ts';
import { charts } from '../text/charts.ts';
import { channelName, channelsOf } from './series-plan.ts';

interface Props {
  farm: FarmView;
  series: readonly Series[];
}

/** More rows than this nobody reads: then every so-manieth. */
const mostRows = 200;

/** The numbers behind the chart; drawn only once somebody opens it. */
export function SeriesTable({ farm, series }: Props) {
  const open = useSignal(false);
  return (
    <details
      open={open.value}
      onToggle={(event) => {
        open.value = event.currentTarget.open;
      }}
    >
      <summary>{charts.table}</summary>
      {open.value ? series.map((one) => <OneTable key={one.channel} farm={farm} one={one} />) : null}
    </details>
  );
}

function OneTable({ farm, one }: { farm: FarmView; one: Series }) {
  const channel = channelsOf(farm).find(({ id }) => id === one.channel);
  if (channel === undefined) return null;
  const writing = writingOf(channel.quantity, settings.value.temperature);
  const number = (value: number) => numberOf(writing.shown(value), Math.max(1, writing.decimals));
  const head = charts.tableHead;
  const rows = thinned(one.points, mostRows);
  return (
    <div class="table-wrap">
      <table>
        <caption>{`${channelName(farm, channel)}, ${writing.unit}`}</caption>
        <thead>
          <tr>
            <th scope="col">{head.time}</th>
            {[head.mean, head.min, head.max, head.count].map((text) => (
              <th scope="col" class="number" key={text}>
                {text}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {rows.map(({ t, mean, min, max, count }) => (
            <tr key={t}>
              <td class="when">{datedMomentOf(t, farm.site.timeZone)}</td>
              <td class="number">{number(mean)}</td>
              <td class="number">{number(min)}</td>
              <td class="number">{number(max)}</td>
              <td class="number">{count}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}

/** At most `most` rows, each of several points taken together: lowest stays lowest, highest highest. */
export function thinned(points: readonly SeriesPoint[], most: number): SeriesPoint[] {
  const size = Math.ceil(points.length / most);
  if (size <= 1) return [...points];
  const rows: SeriesPoint[] = [];
  for (let at = 0; at < points.length; at += size) {
    const part = points.slice(at, at + size);
    const count = part.reduce((sum, point) => sum + point.count, 0);
    rows.push({
      t: part[0]!.t,
      count,
      min: Math.min(...part.map(({ min }) => min)),
      max: Math.max(...part.map(({ max }) => max)),
      mean: part.reduce((sum, point) => sum + point.mean * point.count, 0) / count,
      last: part.at(-1)!.last,
      marked: part.reduce((sum, point) => sum + point.marked, 0),
    });
  }
  return rows;
}
