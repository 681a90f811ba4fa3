import type { BatchState, Cohort } from '../../shared/batches.ts';
import { dayMs, type EpochMs } from '../../shared/time.ts';
import type { AirBook } from './air-book.ts';
import type { BatchRun } from './batch-run.ts';
import { shelfAt } from './cohort-run.ts';
import { stepOf, stepsPerDay, stepsPerHour, timeOf } from './grid.ts';
import { threePoints } from './quantiles.ts';
import { rowEndH } from './rows.ts';
import { numberOf } from './seeded.ts';
import { hoursTo, viewOf } from './view.ts';

/** How far back a forecast is compared with what was said then. */
const movedDays = 3;

/** An hour of the past: the air that there was, and what had been expected. */
export interface HourOfAir {
  t: EpochMs;
  shelf: string | null;
  tempC: number;
  expectedC: number;
}

/** Days by which one thing moved the likely ready, later above zero. */
export type Part =
  | { by: 'air'; days: number; hours: HourOfAir[] }
  | { by: 'move'; days: number; shelf: string | null }
  | { by: 'shake'; days: number }
  | { by: 'look'; days: number; judged: number | null };

/** What moved the likely ready from what was said at `from` to what is said at `to`; parts add up to `days`. */
export interface Moved {
  from: EpochMs;
  to: EpochMs;
  days: number;
  parts: Part[];
}

type Kept = { stays: boolean; shakes: boolean; looks: boolean };

/** A batch as if what is not kept had not happened after a step. */
function without(batch: BatchState, after: number, kept: Kept): BatchState {
  const before = (t: number): boolean => stepOf(t) <= after;
  const cohorts = batch.cohorts.map((cohort): Cohort => {
    const { left, ...rest } = cohort;
    return {
      ...rest,
      stays: kept.stays ? cohort.stays : cohort.stays.filter(({ from }, i) => i === 0 || before(from)),
      shakes: kept.shakes ? cohort.shakes : cohort.shakes.filter(before),
      checks: kept.looks ? cohort.checks : cohort.checks.filter(({ t }) => before(t)),
      ...(left !== undefined && (kept.looks || before(left.t)) ? { left } : {}),
    };
  });
  return { ...batch, cohorts };
}

/** Last step at which a batch's forecasts are explained: once a day at an hour of its own, and at each event. */
export function explainedAt({ batch, startStep }: BatchRun, index: number, step: number): number {
  const own = numberOf(batch.id, stepsPerDay);
  const daily = Math.floor((step - own) / stepsPerDay) * stepsPerDay + own;
  const { checks, shakes, stays } = batch.cohorts[index]!;
  const events = [...checks.map(({ t }) => t), ...shakes, ...stays.map(({ from }) => from)].map(stepOf);
  return Math.max(startStep, daily, ...events.filter((one) => one <= step));
}

/**
 * Compares the likely ready with that of three days before, by running each past: with the air that came but no
 * more, then with the moves, the shakes and the looks.
 * @param at from `explainedAt`
 * @returns undefined for bags too young, or full, or stalled in either future
 */
export function whatMoved(
  run: BatchRun,
  index: number,
  air: AirBook,
  room: string,
  at: number,
): Moved | undefined {
  const since = Math.max(run.startStep, at - movedDays * stepsPerDay);
  if (at - since < stepsPerDay / 4) return undefined;

  /** Likely ready of a run as told at a step [d]. */
  const likely = (one: BatchRun, step: number): number => {
    one.advance(step);
    const view = viewOf(one, one.cohorts()[index]!, air, room, timeOf(step));
    const hours = hoursTo(view, view.prospects.targets.ready);
    return timeOf(step) / dayMs + threePoints(hours, view.particles.weight).likely / 24;
  };
  const kept: Kept = { stays: false, shakes: false, looks: false };
  const past = run.fork(without(run.batch, since, kept), since);
  const first = likely(past, since);
  const hours = hoursOfAir(past, index, air, since, at);

  const cohort = run.batch.cohorts[index]!;
  const lately = (t: number): boolean => stepOf(t) > since && stepOf(t) <= at;
  const moves = cohort.stays.filter(({ from }, i) => i > 0 && lately(from));
  const looks = run.batch.cohorts.flatMap(({ checks }) => checks).filter(({ t }) => lately(t));
  const own = cohort.checks.filter(({ t }) => lately(t));
  const used = run.batch.cohorts.some(({ left }) => left?.how === 'used' && lately(left.t));
  const causes: { what: keyof Kept; part: Omit<Part, 'days'> }[] = [];
  if (moves.length > 0)
    causes.push({ what: 'stays', part: { by: 'move', shelf: moves.at(-1)!.shelf } as Part });
  if (cohort.shakes.some(lately)) causes.push({ what: 'shakes', part: { by: 'shake' } });
  if (looks.length > 0 || used)
    causes.push({ what: 'looks', part: { by: 'look', judged: own.at(-1)?.share ?? null } as Part });

  // With all that happened it is the batch as it was run already.
  const others = run.batch.cohorts.some(
    (one) =>
      one !== cohort && (one.shakes.some(lately) || one.stays.some(({ from }, i) => i > 0 && lately(from))),
  );
  const asItWas = () => likely(run.fork(run.batch, at), at);
  let before = causes.length === 0 && !others ? asItWas() : likely(past, at);
  const parts: Part[] = [{ by: 'air', days: before - first, hours }];
  causes.forEach(({ what, part }, order) => {
    kept[what] = true;
    const all = order === causes.length - 1 && !others;
    const next = all ? asItWas() : likely(run.fork(without(run.batch, since, kept), since), at);
    parts.push({ ...part, days: next - before } as Part);
    before = next;
  });

  const days = before - first;
  if (!Number.isFinite(days) || parts.some((part) => !Number.isFinite(part.days))) return undefined;
  return { from: timeOf(since), to: timeOf(at), days, parts };
}

/** The air of a stretch hour by hour, beside what was expected of it at its start. */
function hoursOfAir(run: BatchRun, index: number, air: AirBook, from: number, to: number): HourOfAir[] {
  const shelf = shelfAt(run.batch.cohorts[index]!, from);
  const { tempC: expected } = air.ahead(shelf, from);
  const hours: HourOfAir[] = [];
  for (let step = from; step + stepsPerHour <= to; step += stepsPerHour) {
    let sum = 0;
    for (let one = step; one < step + stepsPerHour; one++) sum += air.at(shelf, one).tempC;
    const ahead = (step - from + 0.5) / stepsPerHour;
    const row = rowEndH.findIndex((end) => end > ahead);
    hours.push({ t: timeOf(step), shelf, tempC: sum / stepsPerHour, expectedC: expected[row]! });
  }
  return hours;
}
