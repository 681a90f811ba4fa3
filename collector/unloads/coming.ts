import { meanOf } from '../../shared/stats/mean.ts';
import { type EpochMs, hourMs } from '../../shared/time.ts';
import type { UnloadState } from '../../shared/unload/derive.ts';
import type { UnloadPlan, UnloadQuestion } from '../../shared/unloads.ts';
import type { ComingWarmth } from '../forecast/coming.ts';

/** The planner looks no further ahead than this. */
const plannedMs = 24 * hourMs;
const stepMs = hourMs / 2;
/** Of a standard normal: a plan's band is that of 10 to 90 %. */
const z90 = 1.2816;

/** What a plan has a load bring to its room, half an hour at a time, until it is over. */
export function warmthOf({ room, at, air, beforeC, overAt }: UnloadPlan): ComingWarmth {
  const until = Math.min(overAt?.likely ?? Number.POSITIVE_INFINITY, air.at(-1)?.t ?? at);
  const riseK: number[] = [];
  const sdK: number[] = [];
  for (let from = at; from < until; from += stepMs) {
    const points = air.filter(({ t }) => t >= from && t < from + stepMs);
    const none = points.length === 0;
    const meanC = meanOf(points.map(({ value }) => value.likely));
    riseK.push(none ? 0 : Math.max(0, meanC - beforeC));
    sdK.push(none ? 0 : meanOf(points.map(({ value }) => value.high - value.low)) / (2 * z90));
  }
  return { room, from: at, stepMs, riseK, sdK };
}

interface ComingNeeds {
  now: () => EpochMs;
  scheduled: () => readonly UnloadState[];
  /** What it does by itself: what each brings is added up. */
  plan: (question: UnloadQuestion) => Promise<UnloadPlan>;
  /** Told what is to come, all of it. */
  onComing: (coming: ComingWarmth[]) => void;
  onProblem: (thrown: unknown) => void;
}

/** Keeps forecasts told of hot loads that are scheduled within a day. Call `look` when they change, and each hour. */
export function createComing({ now, scheduled, plan, onComing, onProblem }: ComingNeeds) {
  let last = 0;
  return {
    async look(): Promise<void> {
      last += 1;
      const asked = last;
      const t = now();
      const soon = scheduled().filter(({ at }) => at >= t && at - t < plannedMs);
      const coming: ComingWarmth[] = [];
      for (const { room, load, at, options } of soon)
        try {
          coming.push(warmthOf(await plan({ room, load, at, options })));
        } catch (thrown) {
          // One of a container that is no longer of the farm must not hide the others.
          onProblem(thrown);
        }
      // Somebody scheduled another meanwhile: that look tells.
      if (asked === last) onComing(coming);
    },
  };
}
