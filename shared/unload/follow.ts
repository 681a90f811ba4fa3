import type { Container } from '../farm/schema.ts';
import type { Band, InstantInterval } from '../forecasts.ts';
import { thermalOf } from '../heat/container.ts';
import { clamp } from '../stats/range.ts';
import { type EpochMs, hourMs, minuteMs } from '../time.ts';
import type { ExpectedPoint, HotLoad } from '../unloads.ts';
import type { AirPoint } from './air-steps.ts';
import { type CoolDown, followCoolDown, type Ready } from './cool-down.ts';
import { firstLoadBelief, type LoadBelief, nextLoad } from './load-belief.ts';
import type { RecentAir } from './plan-input.ts';
import type { SetAside, Spot } from './spots.ts';
import { openVesselC, startOf } from './start.ts';

export interface FollowQuestion {
  container: Container;
  load: HotLoad;
  /** What is believed of the film on this site's carts (log of the factor); the assumption unless given. */
  filmFactor?: { mean: number; sd: number } | undefined;
  /** What loads of this container taught; `filmFactor` comes before its film. */
  belief?: LoadBelief | undefined;
  /** Room air measured from `at` or a little before; gaps are NaN. */
  air: RecentAir;
  at: EpochMs;
  now: EpochMs;
  /** Readings of the load; those without a source are taken as one person's. */
  spots: readonly (Omit<Spot, 'source'> & { source?: string })[];
  /** Room air that is expected, for gaps and from now on [°C]. */
  aheadC: (t: EpochMs) => number;
  inoculateBelowC: number;
  cautionC: number;
}

export interface Followed {
  coreC: Band;
  /** Core since it came in, and ahead until an hour after it is surely cool, or a day [°C]. */
  core: ExpectedPoint[];
  /** Middle of the nearest face [°C], on the hot side: nine of ten are cooler. */
  surfaceC: number;
  inoculateAt: InstantInterval | null;
  /** When a face is surely below the caution's temperature; null when it is now, or not in sight. */
  touchAt: EpochMs | null;
  /** Readings that count. */
  heard: number;
  /** Sources of probes that stay in it, whose newest reading does not count, and of those that will count soon. */
  asideNow: string[];
  settlingNow: string[];
  /** What readings make of this load: `learnLoad(belief, it)`. */
  learned: Pick<LoadBelief, 'lnFilm' | 'lnHeat'>;
  /** Readings set aside, and what else does not go as planned, in sentences. */
  remarks: string[];
  /** What differs from the plan for the better, in sentences. */
  notes: string[];
}

/** A silence of the room's sensor longer than this is filled with what was expected. */
const longestGapMs = 20 * minuteMs;
/** What is not met by then is not in sight. */
const inSightMs = 48 * hourMs;
/** Spacing of the curve ahead; what it is shown beyond being cool; and at most. */
const aheadEveryMs = 15 * minuteMs;
const shownBeyondH = 1;
const shownAtMostH = 24;
/** So long it is told that a reading by hand does not count. */
const toldMs = hourMs;
/** Readings move the film by this many standard deviations before it is worth a word. */
const remarkable = 0.8;

/** Measured air, with what was expected in long silences. Oldest first, never empty. */
function airOf({ air, at, now, aheadC }: FollowQuestion): { points: AirPoint[]; silentMs: number } {
  const points: AirPoint[] = [];
  let silentMs = 0;
  let heardAt = at;
  const bridge = (until: EpochMs): void => {
    if (until - heardAt <= longestGapMs) return;
    silentMs += until - heardAt;
    for (let t = heardAt + 5 * minuteMs; t < until - 2 * minuteMs; t += 5 * minuteMs)
      points.push({ t, tempC: aheadC(t) });
  };
  for (let index = 0; index < air.airC.length; index++) {
    const t = air.firstT + index * air.stepMs;
    const tempC = air.airC[index]!;
    if (!Number.isFinite(tempC) || t > now) continue;
    if (t >= at) bridge(t);
    heardAt = Math.max(at, t);
    points.push({ t, tempC });
  }
  bridge(now);
  if (points.length === 0) points.push({ t: at, tempC: aheadC(at) });
  return { points, silentMs };
}

function intervalOf({ earliest, likely, latest }: Ready, from: EpochMs): InstantInterval | null {
  if (earliest === null || likely === null) return null;
  return { earliest, likely, latest: latest ?? from + inSightMs };
}

const hundredths = ({ low, likely, high }: Band): Band => {
  const round = (tempC: number): number => Math.round(100 * tempC) / 100;
  return { low: round(low), likely: round(likely), high: round(high) };
};

/** The whole curve, until the load is surely cool. */
function curveOf(cool: CoolDown, { aheadC, now }: FollowQuestion, latest: EpochMs | null): ExpectedPoint[] {
  const untilH = latest === null ? shownAtMostH : (latest - now) / hourMs + shownBeyondH;
  const ahead = cool.course(aheadC, clamp(untilH, shownBeyondH, shownAtMostH), aheadEveryMs);
  return [...cool.past.filter(({ t }) => t < now), ...ahead].map(({ t, coreC }) => ({
    t,
    value: hundredths(coreC),
  }));
}

/** When each source was last heard. */
function newestOf(spots: FollowQuestion['spots']): Map<string, EpochMs> {
  const newest = new Map<string, EpochMs>();
  for (const { t, where, source = where } of spots) newest.set(source, Math.max(t, newest.get(source) ?? t));
  return newest;
}

/**
 * Readings set aside that are worth a word: of a probe that stays only what it says now, of a hand what it held to the
 * load last, for a while.
 */
const asideOf = ({ aside }: CoolDown, newest: ReadonlyMap<string, EpochMs>, now: EpochMs): SetAside[] =>
  aside.filter(
    ({ spot }) => spot.t === newest.get(spot.source) && (spot.stays === true || now - spot.t <= toldMs),
  );

function newsOf(
  cool: CoolDown,
  prior: LoadBelief,
  silentMs: number,
  newest: ReadonlyMap<string, EpochMs>,
  now: EpochMs,
): Pick<Followed, 'remarks' | 'notes'> {
  const aside = asideOf(cool, newest, now).filter(({ settling }) => !settling);
  const remarks = [...new Set(aside.map(({ why }) => why))];
  const away = (cool.lnFilm.mean - prior.lnFilm.mean) / prior.lnFilm.sd;
  const notes: string[] = [];
  if (cool.heard > 0 && Math.abs(away) > remarkable)
    (away < 0 ? remarks : notes).push(
      `Its readings say that it cools ${away < 0 ? 'more slowly' : 'faster'} than loads here do.`,
    );
  if (silentMs > 0)
    remarks.push(
      `The room's air was not measured for ${Math.round(silentMs / minuteMs)} min of it: what was expected stands in.`,
    );
  return { remarks, notes };
}

/**
 * A load that stands in a room, as all that was measured has it, and what is ahead of it. Pure: ask again when
 * something came. Tens of milliseconds.
 * @throws AppError 'out-of-range' for a mass, moisture or shape that cannot be
 */
export function followLoad(question: FollowQuestion): Followed {
  const { container, load, at, now, aheadC, spots, inoculateBelowC, cautionC } = question;
  const { points, silentMs } = airOf(question);
  const believed = nextLoad(question.belief ?? firstLoadBelief);
  const belief = { ...believed, lnFilm: question.filmFactor ?? believed.lnFilm };
  const measured = load.startC === null ? undefined : Math.min(openVesselC, load.startC);
  const cool = followCoolDown({
    ...{ thermal: thermalOf(container), from: at, asOf: now, belief, air: points },
    start: startOf(measured),
    spots: spots.map((spot) => ({ source: spot.where, ...spot })),
  });
  const touch = cool.ready(cautionC, aheadC, 'surface').latest;
  const ready = cool.ready(inoculateBelowC, aheadC);
  const newest = newestOf(spots);
  const probesAside = (soon: boolean): string[] =>
    asideOf(cool, newest, now).flatMap(({ spot, settling }) =>
      spot.stays === true && settling === soon ? [spot.source] : [],
    );
  return {
    coreC: cool.coreC,
    core: curveOf(cool, question, ready.latest),
    surfaceC: cool.surfaceC.high,
    inoculateAt: intervalOf(ready, now),
    touchAt: cool.surfaceC.high < cautionC ? null : touch,
    heard: cool.heard,
    learned: { lnFilm: cool.lnFilm, lnHeat: cool.lnHeat },
    asideNow: probesAside(false),
    settlingNow: probesAside(true),
    ...newsOf(cool, belief, silentMs, newest, now),
  };
}
