import type { Band, CohortForecast, InstantInterval } from '../../shared/forecasts.ts';
import { useByAge } from '../../shared/growth/ageing.ts';
import { fullFrom } from '../../shared/growth/look.ts';
import { dayMs, hourMs } from '../../shared/time.ts';
import { type CohortRun, shelfAt, slot } from './cohort-run.ts';
import { stepsPerDay, timeOf } from './grid.ts';
import { between, middleNode } from './nodes.ts';
import { horizonH, hoursUntil } from './outlook.ts';
import { particleCount } from './particles.ts';
import { threePoints } from './quantiles.ts';
import { readyIfShaken, shareOf } from './spells.ts';
import { hoursTo, type View } from './view.ts';
import { assumedFor, marksFor, notesFor } from './words.ts';

/** An instant ahead, never before now; null when even the likely one lies beyond the horizon. */
function instantsAhead(view: View, hours: Band): InstantInterval | null {
  if (!Number.isFinite(hours.likely)) return null;
  const at = (h: number) => Math.max(view.now, Math.round(view.base + Math.min(h, horizonH) * hourMs));
  return { earliest: at(hours.low), likely: at(hours.likely), latest: at(hours.high) };
}

/** The look that found the bags full, unless a later one says otherwise; with the instant of the look before. */
export function seenFull(run: CohortRun): { before: number; index: number } | undefined {
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
  const { run, particles, targets, batch } = view;
  const full = run.marks[seen.index]!;
  const last = seen.before < 0 ? undefined : run.marks[seen.before]!;
  const from = last?.t ?? batch.batch.madeAt;
  const times = targets.ready.map((target, i) => {
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

function readyOf(view: View): CohortForecast['ready'] {
  const seen = seenFull(view.run);
  if (seen !== undefined) return { state: 'ready', at: readySeen(view, seen), seen: true };
  const at = instantsAhead(view, threePoints(hoursTo(view, view.targets.ready), view.particles.weight));
  if (at === null) return { state: 'stalled', at, seen: false };
  return { state: at.likely <= view.now ? 'ready' : 'growing', at, seen: false };
}

const never: CohortForecast['shake'] = {
  state: 'never',
  opens: null,
  best: null,
  closes: null,
  gainDays: null,
};

function shakeOf(view: View, share: Band, ready: CohortForecast['ready']): CohortForecast['shake'] {
  const { run, batch, targets, particles, theta } = view;
  if (run.marks.some((mark) => mark.kind === 'shake')) return { ...never, state: 'done' };
  if (!batch.kind.container.shakeable || batch.batch.generation === 'block') return never;
  let helped = 0;
  for (let i = 0; i < particleCount; i++)
    if (!Number.isNaN(targets.closes[i]!)) helped += particles.weight[i]!;
  if (helped < 0.5) return never;
  if (ready.state === 'ready') return { ...never, state: 'closed' };

  const weight = particles.weight;
  const usable = weight.map((one, i) => (Number.isNaN(targets.closes[i]!) ? 0 : one));
  const opens = threePoints(hoursTo(view, targets.opens), weight);
  const best = threePoints(hoursTo(view, targets.best), weight);
  const closes = threePoints(
    hoursTo(view, targets.closes).map((hours) => (Number.isNaN(hours) ? 0 : hours)),
    usable,
  );
  const early = opens.likely > 0;
  const shakeAt = early ? targets.best : theta;
  const gains = targets.ready.map((target, i) => {
    const from = shakeAt[i]!;
    const shareThen = early ? shareOf(run.spells, particles, i, from) : view.share[i]!;
    const shaken = readyIfShaken(particles, i, from, shareThen);
    const { outlook, node, part } = view;
    const untouched = hoursUntil(outlook, target - theta[i]!, node[i]!, part[i]!);
    return (untouched - hoursUntil(outlook, shaken - theta[i]!, node[i]!, part[i]!)) / 24;
  });
  const gain = threePoints(
    gains.map((one) => (Number.isFinite(one) ? one : 0)),
    weight,
  ).likely;

  const state =
    closes.likely <= 0
      ? 'closed'
      : early
        ? 'early'
        : share.likely >= 0.4
          ? 'closing'
          : share.likely >= 0.27
            ? 'best'
            : 'open';
  const ahead = (hours: Band) => (hours.likely > 0 ? instantsAhead(view, hours) : null);
  return {
    state,
    opens: ahead(opens),
    best: ahead(best),
    closes: ahead(closes),
    gainDays: state === 'closed' || ready.at === null ? null : gain,
  };
}

function useByOf(view: View): CohortForecast['useBy'] {
  const { run, batch, targets, particles, outlook, now, base } = view;
  const readyAge = threePoints(targets.ready, particles.weight).likely;
  const age = useByAge(batch.kind.species.useWithinDays, readyAge);
  const reached = run.nodes[middleNode]!;
  if (reached < age) {
    const hours = hoursUntil(outlook, age - reached, middleNode, 0);
    const at = Number.isFinite(hours) ? Math.round(base + hours * hourMs) : null;
    return { at, state: at !== null && at - now < 2 * dayMs ? 'soon' : 'good' };
  }
  // Passed: between two of the kept days.
  const day = run.daily.findIndex((theta) => theta >= age);
  const firstDay = Math.ceil(batch.startStep / stepsPerDay);
  const dayStart = (index: number) => timeOf((firstDay + index) * stepsPerDay);
  const [from, to] = day < 0 ? [run.daily.length - 1, run.daily.length] : [day - 1, day];
  const startT = from < 0 ? batch.batch.madeAt : dayStart(from);
  const endT = day < 0 ? base : dayStart(to);
  const startAge = from < 0 ? 0 : run.daily[from]!;
  const endAge = day < 0 ? reached : run.daily[to]!;
  const along = endAge > startAge ? (age - startAge) / (endAge - startAge) : 1;
  return { at: Math.round(startT + along * (endT - startT)), state: 'past' };
}

/** The forecast of a cohort as known at an instant. */
export function forecastOf(view: View): CohortForecast {
  const { run, batch, now, particles } = view;
  const { state } = run;
  const share = threePoints(view.share, particles.weight);
  const ready = readyOf(view);
  const forecast: CohortForecast = {
    cohort: run.cohort.id,
    batch: batch.batch.id,
    bags: run.cohort.bags,
    shelf: shelfAt(run.cohort, batch.step()),
    asOf: now,
    share,
    coreTempC: state[slot.core]!,
    thermalDays: run.nodes[middleNode]!,
    degreeDays: state[slot.degreeDays]!,
    heat: { equivalentHours: state[slot.dose]!, hoursAboveWarm: state[slot.warmHours]! },
    shake: shakeOf(view, share, ready),
    ready,
    useBy: useByOf(view),
    air: run.source,
    marks: [],
    assumed: assumedFor(batch.kind),
    notes: [],
  };
  forecast.marks = marksFor(forecast, view);
  forecast.notes = notesFor(forecast, view);
  return forecast;
}
