import { wbgtIndoorsC } from '../../shared/air/heat-stress.ts';
import { AppError } from '../../shared/errors.ts';
import type { Container } from '../../shared/farm/schema.ts';
import type { Band } from '../../shared/forecasts.ts';
import { type EpochMs, minuteMs } from '../../shared/time.ts';
import { airNews } from '../../shared/unload/against-plan.ts';
import type { UnloadState } from '../../shared/unload/derive.ts';
import { expectedAt } from '../../shared/unload/expected.ts';
import { type Followed as FollowedLoad, followLoad } from '../../shared/unload/follow.ts';
import type { LoadBelief } from '../../shared/unload/load-belief.ts';
import { touchCautionC } from '../../shared/unload/plan.ts';
import type { RecentAir } from '../../shared/unload/plan-input.ts';
import type { Spot } from '../../shared/unload/spots.ts';
import type { UnloadNow, UnloadPlan, UnloadProbe } from '../../shared/unloads.ts';
import type { ProbeNow } from './probes.ts';
import { newestAirC } from './recent-air.ts';

/** Air older than this says nothing of now. */
const freshMs = 20 * minuteMs;
/**
 * A plan begins at the mean of the last minutes, from which a room that swings is away at once: the air is held
 * against it from so long after (assumed; the alarm waits as long before it rings).
 */
const settlesMs = 3 * minuteMs;
/** Air of a room of which nothing at all is known [°C]. */
const assumedAirC = 22;

export interface NowNeeds {
  unload: UnloadState;
  /** Of its room: its own, or that of a load that came in after it. */
  plan: UnloadPlan | null;
  /** Another load came in after it. */
  isJoined: boolean;
  container: Container;
  /** From a little before the load came in. */
  air: RecentAir;
  humidity: number | null;
  /** What probes in it told, and the one that stands in it now. */
  probed: readonly Spot[];
  probe: ProbeNow | null;
  /** What is believed of loads of its kind. */
  belief: LoadBelief;
  inoculateBelowC: number;
  now: EpochMs;
}

export interface Followed {
  state: UnloadNow;
  /** What readings of the load made of it, for the next; null without any. */
  learned: Pick<LoadBelief, 'lnFilm' | 'lnHeat'> | null;
}

const joinedWords =
  'Another load came in after it: the air is held against what was expected of both together.';

/** How far a value lies from a band: above it positive, below negative, inside 0 [K]. */
const outside = (value: number, { low, high }: Band): number =>
  value > high ? value - high : value < low ? value - low : 0;

const wbgt = (airC: number | null, humidity: number | null): number | null => {
  if (airC === null || humidity === null) return null;
  try {
    return wbgtIndoorsC(airC, humidity);
  } catch (thrown) {
    if (thrown instanceof AppError) return null;
    throw thrown;
  }
};

function probeState(
  { channel, last, silentMs }: ProbeNow,
  { asideNow, settlingNow }: Pick<FollowedLoad, 'asideNow' | 'settlingNow'>,
): UnloadProbe {
  const is = (): UnloadProbe['state'] => {
    if (silentMs !== null) return 'silent';
    if (last === null) return 'heard';
    return asideNow.includes(channel) ? 'aside' : settlingNow.includes(channel) ? 'settling' : 'heard';
  };
  return { channel, tempC: last?.tempC ?? null, at: last?.t ?? null, state: is() };
}

/** That a probe tells nothing, and what stands in for it. */
function silenceOf(probe: ProbeNow | null): string[] {
  if (probe?.silentMs == null) return [];
  const minutes = Math.floor(probe.silentMs / minuteMs);
  return [
    probe.last === null
      ? `The probe ${probe.name} has told nothing since it was put in: the load is reckoned from its air alone.`
      : `The probe ${probe.name} has told nothing for ${minutes} min: from there on the load is reckoned from its air.`,
  ];
}

/** A load and its room as they are held to be now: the air as it was measured, and every spot reading. */
export function unloadNow(needs: NowNeeds): Followed {
  const { unload, plan, container, air, humidity, probed, probe, belief, inoculateBelowC, now } = needs;
  const airC = newestAirC(air, now, freshMs);
  const planned = plan && expectedAt(plan.air, now);
  const followed = followLoad({
    ...{ container, load: unload.load, belief, air, at: unload.at, now, inoculateBelowC },
    spots: [
      ...unload.measured.map(({ t, where, tempC, who }) => ({ t, where, tempC, source: who })),
      ...probed,
    ],
    cautionC: touchCautionC,
    aheadC: (t) => (plan && expectedAt(plan.air, t)?.likely) ?? airC ?? plan?.beforeC ?? assumedAirC,
  });
  const { coreC, core, surfaceC, inoculateAt, touchAt } = followed;
  const isSettled = plan !== null && now - plan.at >= settlesMs;
  const beyondK = airC === null || planned === null || !isSettled ? null : outside(airC, planned);
  const news = airNews(beyondK);
  const told = (good: boolean): string[] => (news?.good === good ? [news.words] : []);
  const state: UnloadNow = {
    ...{ asOf: now, airC, beyondK, coreC, core, surfaceC, inoculateAt, touchAt },
    ...{ inoculateBelowC, cautionC: touchCautionC },
    probe: probe && probeState(probe, followed),
    remarks: [...told(false), ...silenceOf(probe), ...followed.remarks],
    notes: [...told(true), ...(needs.isJoined ? [joinedWords] : []), ...followed.notes],
    overAt: plan?.overAt ?? null,
    wbgtC: wbgt(airC, humidity),
  };
  return { state, learned: followed.heard > 0 ? followed.learned : null };
}
