import { type EpochMs, minuteMs } from '../../../shared/time.ts';
import type { UnloadPlan } from '../../../shared/unloads.ts';
import { momentNear, spanOf } from '../format/time.ts';
import {
  inScreenUnit,
  limitOf,
  numberOf,
  type TemperatureUnit,
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
  const writing = writingOf('temperature', temperature);
  const clock = (t: EpochMs) => momentNear(t, now, zone);
  const when = Math.abs(plan.at - now) <= soonMs ? null : clock(plan.at);
  const { low, likely, high } = plan.peak.tempC;
  return {
    verdict: advice.fits
      ? load.count === 1
        ? text.fitsOne(when)
        : text.fits(load.count, when)
      : load.count === 1
        ? text.tooHot(when)
        : text.tooMany(load.count, when),
    bad: !advice.fits,
    peak: text.peak(
      written(likely, writing),
      clock(plan.peak.at.likely),
      ...pair(low, high, (tempC) => numberOf(writing.shown(tempC), writing.decimals)),
    ),
    harm: harmWords(plan, place.batchName),
    limits:
      plan.limits.length === 0
        ? [text.limitNone]
        : plan.limits.map(({ name, limitC, minutes }) =>
            text.limit(
              name,
              `${limitOf(limitC, writing)} ${writing.unit}`,
              spanOf(minutes.likely * minuteMs),
              ...pair(minutes.low, minutes.high, (minutes) => spanOf(minutes * minuteMs)),
            ),
          ),
    largest: text.largest(advice.largest.count, inScreenUnit(advice.largest.limitedBy, temperature)),
    ways: waysOf(plan, place),
    cool: coolWords(plan, place),
    surface: surfaceWords(plan, place),
    back: plan.overAt === null ? null : text.roomBack(clock(plan.overAt.earliest), clock(plan.overAt.latest)),
  };
}

const pair = (low: number, high: number, say: (value: number) => string): [string, string] => [
  say(low),
  say(high),
];

function harmWords({ cohorts }: UnloadPlan, batchName: Place['batchName']): string {
  if (cohorts.length === 0) return text.noneStands;
  const over = cohorts.filter((cohort) => cohort.over);
  if (over.length === 0) return text.overNone;
  const names = over.map(({ batch, shelf }) => `${batchName(batch)} (${shelf})`);
  return text.overNames(text.over(new Set(over.map(({ batch }) => batch)).size), names.join(', '));
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
  const limit = `${limitOf(inoculateBelowC, writing)} ${writing.unit}`;
  if (inoculateAt === null) return text.coolNever(limit);
  const { earliest, likely, latest } = inoculateAt;
  const clock = (t: EpochMs) => momentNear(t, now, zone);
  return text.cool(limit, clock(earliest), clock(latest)) + text.coolLikely(clock(likely));
}

function surfaceWords({ surface }: UnloadPlan, { now, zone, temperature }: Place): string {
  const writing = writingOf('temperature', temperature);
  const temp = `${numberOf(writing.shown(surface.startC), 0)} ${writing.unit}`;
  if (surface.startC < surface.cautionC) return text.surfaceFine(temp);
  return surface.safeAt === null
    ? text.surfaceNever(temp)
    : text.surface(temp, momentNear(surface.safeAt, now, zone));
}
