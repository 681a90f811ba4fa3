import type { Series } from '../../../shared/readings.ts';
import { type EpochMs, minuteMs } from '../../../shared/time.ts';
import { useSeries } from '../charts/use-series.ts';
import { site } from '../screen.ts';

/** More curves than this beside the plan are a tangle. */
const mostCurves = 3;
/** So much of the room as it was before is shown. */
const beforeMs = 20 * minuteMs;

/** What the room's sensors told of an unload, from shortly before it until `to`. */
export function useCurve(
  channels: readonly string[],
  from: EpochMs,
  to: EpochMs,
): readonly Series[] | undefined {
  const start = Math.floor(from - beforeMs);
  const asked = channels.slice(0, mostCurves);
  const { loaded } = useSeries(site.value.base, asked, start, Math.max(Math.ceil(to), start + minuteMs));
  return asked.length === 0 ? undefined : loaded?.series;
}
