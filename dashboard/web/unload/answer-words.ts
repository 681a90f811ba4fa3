import type { InstantInterval } from '../../../shared/forecasts.ts';
import { type EpochMs, minuteMs } from '../../../shared/time.ts';
import { warmsRoom } from '../../../shared/unload/expected.ts';
import type { UnloadPlan } from '../../../shared/unloads.ts';
import { momentNear, spanOf } from '../format/time.ts';
import {
  inScreenUnit,
  limitWritten,
  numberOf,
  type TemperatureUnit,
  wholeWritten,
  writingOf,
  written,
} from '../format/value.ts';
import { localOf } from '../format/zoned.ts';
import { unload as text } from '../text/unload.ts';
import type { PlanDraft } from './plan-draft.ts';

interface Place {
  now: EpochMs;
  zone: string;
  temperature: TemperatureUnit;
  /** A batch as it is called: `Oyster, Larch 2 K710`. */
  batchName: (batch: string) => string;
}

/** A way to make it fit, and what it changes in the question. */
export interface Way {
  words: string;
  /** Null where it is not the question that changes but the room. */
  change: Partial<PlanDraft> | null;
}

export interface AnswerWords {
  verdict: string;
  /** Something passes what it stands: shown as abnormal. */
  bad: boolean;
  peak: string;
  harm: string;
  limits: string[];
  largest: string;
  ways: Way[];
  cool: string;
  surface: string;
  back: string | null;
}

/** `now` is said of what lies within the next minutes. */
const soonMs = 6 * minuteMs;

/** A plan as one would say it, in this screen's unit and the site's clock. */
export function answerWords(plan: UnloadPlan, place: Place): AnswerWords {
  const { now, zone, temperature } = place;
  const { advice, load } = plan;
  const clock = (t: EpochMs) => momentNear(t, now, zone);
  const when = Math.abs(plan.at - now) <= soonMs ? null : clock(plan.at);
  return {
    verdict: advice.fits
      ? load.count === 1
        ? text.fitsOne(when)
        : text.fits(load.count, when)
      : load.count === 1 || advice.largest.count === 0
        ? text.tooHot(when)
        : text.tooMany(load.count, when),
    bad: !advice.fits,
    peak: peakWords(plan, place),
    harm: harmWords(plan, place),
    limits: limitWords(plan, temperature),
    largest: (advice.largest.count === 0 ? text.largestNone : text.largest)(
      advice.largest.count,
      inScreenUnit(advice.largest.limitedBy, temperature),
    ),
    ways: waysOf(plan, place),
    cool: coolWords(plan, place),
    surface: surfaceWords(plan, place),
    back: plan.overAt && backWords(plan.overAt, plan.at, clock),
  };
}

function peakWords(plan: UnloadPlan, { now, zone, temperature }: Place): string {
  const { peak } = plan;
  const writing = writingOf('temperature', temperature);
  const { low, likely, high } = peak.tempC;
  const number = (tempC: number) => numberOf(writing.shown(tempC), writing.decimals);
  if (!warmsRoom(plan)) return text.noRise(written(likely, writing), number(high));
  return text.peak(written(likely, writing), number(low), number(high), peakWhen(peak.at, { now, zone }));
}

/** What comes within so long is at one instant, as people say it. */
const instantMs = 20 * minuteMs;

/** When a room is at its warmest. Where it hardly changes for hours no instant of them is the one. */
export function peakWhen(
  { earliest, likely, latest }: InstantInterval,
  { now, zone }: Pick<Place, 'now' | 'zone'>,
): string {
  const clock = (t: EpochMs) => momentNear(t, now, zone);
  return latest - earliest <= instantMs
    ? text.peakAbout(clock(likely))
    : text.between(clock(earliest), clock(latest));
}

/** Where the room may hardly leave what it was, only the latest hour says something. */
function backWords(
  { earliest, latest }: InstantInterval,
  at: EpochMs,
  clock: (t: EpochMs) => string,
): string {
  return earliest - at <= soonMs
    ? text.roomBackBy(clock(latest))
    : text.roomBack(clock(earliest), clock(latest));
}

/** Each limit that may be passed for a minute or more, and how long. */
function limitWords({ limits }: UnloadPlan, temperature: TemperatureUnit): string[] {
  const writing = writingOf('temperature', temperature);
  const span = (minutes: number) => spanOf(minutes * minuteMs);
  const said = limits
    .filter(({ minutes }) => minutes.high >= 1)
    .map(({ name, limitC, minutes }) => {
      const limit = limitWritten(limitC, writing);
      return minutes.likely < 1
        ? text.limitPerhaps(name, limit, span(minutes.high))
        : minutes.low < 1
          ? text.limitAtWorst(name, limit, span(minutes.likely), span(minutes.high))
          : text.limit(name, limit, span(minutes.likely), span(minutes.low), span(minutes.high));
    });
  return said.length === 0 ? [text.limitNone] : said;
}

/** Of more batches than this only so many are named; the table below has all. */
const mostNamed = 5;

function harmWords({ cohorts, advice }: UnloadPlan, { batchName, temperature }: Place): string {
  if (cohorts.length === 0) return text.noneStands;
  const over = cohorts.filter((cohort) => cohort.over);
  if (over.length === 0) {
    const { limitedBy } = advice.largest;
    // What is too much for nobody there is so for the room.
    return !advice.fits && limitedBy.startsWith("the room's ")
      ? text.overRoom(inScreenUnit(limitedBy, temperature))
      : text.overNone;
  }
  const shelves = new Map<string, Set<string>>();
  for (const { batch, shelf } of over) shelves.set(batch, (shelves.get(batch) ?? new Set()).add(shelf));
  const names = [...shelves].map(([batch, at]) => `${batchName(batch)} (${[...at].join(', ')})`);
  const said = names.length <= mostNamed + 1 ? names : names.slice(0, mostNamed);
  const isLikely = over.some(({ after }) => after.likely >= 1);
  return text.overNames(
    isLikely ? text.over(names.length) : text.overPerhaps(names.length),
    said,
    names.length - said.length,
  );
}

function waysOf({ advice, load }: UnloadPlan, { now, zone }: Place): Way[] {
  if (advice.fits) return [];
  const at = (t: EpochMs): Partial<PlanDraft> =>
    Math.abs(t - now) <= soonMs ? { when: 'now' } : { when: 'at', at: localOf(t, zone) };
  const { split, betterAt, moveOut, largest } = advice;
  const ways: Way[] = [];
  if (split !== null && split.length > 1) {
    const parts = split.map(({ count, at: t }) => ({
      count,
      when: Math.abs(t - now) <= soonMs ? text.splitNow : text.splitAt(momentNear(t, now, zone)),
    }));
    ways.push({
      words: text.split(parts),
      change: { count: String(split[0]!.count), ...at(split[0]!.at) },
    });
  } else if (largest.count > 0 && largest.count < load.count)
    ways.push({ words: text.fewerAtOnce(largest.count), change: { count: String(largest.count) } });
  if (betterAt !== null)
    ways.push({ words: text.better(momentNear(betterAt, now, zone)), change: at(betterAt) });
  if (moveOut !== null && moveOut.length > 0) ways.push({ words: text.moveOut(moveOut), change: null });
  return ways;
}

function coolWords({ inoculateAt, inoculateBelowC }: UnloadPlan, { now, zone, temperature }: Place): string {
  const writing = writingOf('temperature', temperature);
  const limit = limitWritten(inoculateBelowC, writing);
  if (inoculateAt === null) return text.coolNever(limit);
  const { earliest, likely, latest } = inoculateAt;
  const clock = (t: EpochMs) => momentNear(t, now, zone);
  return text.cool(limit, clock(earliest), clock(latest)) + text.coolLikely(clock(likely));
}

function surfaceWords({ surface }: UnloadPlan, { now, zone, temperature }: Place): string {
  const writing = writingOf('temperature', temperature);
  const temp = wholeWritten(surface.startC, writing);
  if (surface.startC < surface.cautionC) return text.surfaceFine(temp);
  return surface.safeAt === null
    ? text.surfaceNever(temp)
    : text.surface(temp, momentNear(surface.safeAt, now, zone));
}
