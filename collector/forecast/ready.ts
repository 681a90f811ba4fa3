import type { Band, CohortForecast, InstantInterval } from '../../shared/forecasts.ts';
import { fullFrom } from '../../shared/growth/look.ts';
import { hourMs } from '../../shared/time.ts';
import type { CohortRun } from './cohort-run.ts';
import { between } from './nodes.ts';
import { threePoints } from './quantiles.ts';
import { horizonH } from './rows.ts';
import { expectedReady } from './shaking-habit.ts';
import { hoursTo, type View } from './view.ts';

/** An instant ahead, never before now; null when even the likely one lies beyond the horizon. */
export function instantsAhead(view: View, hours: Band): InstantInterval | null {
  if (!Number.isFinite(hours.likely)) return null;
  const at = (h: number) => Math.max(view.now, Math.round(view.base + Math.min(h, horizonH) * hourMs));
  return { earliest: at(hours.low), likely: at(hours.likely), latest: at(hours.high) };
}

/** The look that found the bags full, unless a later one says otherwise; with the instant of the look before. */
function seenFull(run: CohortRun): { before: number; index: number } | undefined {
  const { marks } = run;
  const index = marks.findIndex((mark) => mark.kind === 'look' && mark.judged >= fullFrom);
  if (index < 0 || marks.slice(index).some((mark) => mark.kind === 'look' && mark.judged < 0.9))
    return undefined;
  let before = index - 1;
  while (before >= 0 && marks[before]!.kind !== 'look') before--;
  return { before, index };
}

const evenBetween = (from: number, to: number): Band => {
  const at = (share: number) => from + share * (to - from);
  return { low: at(0.1), likely: at(0.5), high: at(0.9) };
};

/** When bags that were seen full became so: between the look before and that look, as the particles say. */
function readySeen(view: View, seen: { before: number; index: number }): InstantInterval {
  const { run, particles, prospects, batch } = view;
  const full = run.marks[seen.index]!;
  const last = seen.before < 0 ? undefined : run.marks[seen.before]!;
  const from = last?.t ?? batch.batch.madeAt;
  const times = prospects.targets.ready.map((target, i) => {
    const node = particles.node[i]!;
    const part = particles.part[i]!;
    const start = last === undefined ? 0 : between(last.nodes, node, part);
    const end = between(full.nodes, node, part);
    const along = end > start ? Math.min(1, Math.max(0, (target - start) / (end - start))) : 1;
    return from + along * (full.t - from);
  });
  // What filled outside of the two looks is not what was seen; if nearly all did, nothing tells when.
  const within = particles.weight.map((weight, i) => (times[i]! > from && times[i]! < full.t ? weight : 0));
  const told = within.reduce((sum, weight) => sum + weight, 0) > 0.05;
  const { low, likely, high } = told ? threePoints(times, within) : evenBetween(from, full.t);
  return { earliest: Math.round(low), likely: Math.round(likely), latest: Math.round(high) };
}

/** When the bags are ready, as seen or as forecast. */
export function readyOf(view: View): CohortForecast['ready'] {
  const { prospects } = view;
  const seen = seenFull(view.run);
  if (seen !== undefined) return { state: 'ready', at: readySeen(view, seen), seen: true };
  const at = instantsAhead(
    view,
    threePoints(
      hoursTo(view, expectedReady(view), prospects.rows.ready),
      view.particles.weight,
      prospects.ranked.ready,
    ),
  );
  if (at === null) return { state: 'stalled', at, seen: false };
  return { state: at.likely <= view.now ? 'ready' : 'growing', at, seen: false };
}
