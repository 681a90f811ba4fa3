import { type EpochMs, hourMs } from '../../../shared/time.ts';
import type { UnloadsLive, UnloadView } from '../../../shared/unloads.ts';
import { clockOf, momentNear, spanOf } from '../format/time.ts';
import { limitWritten, type TemperatureUnit, wholeWritten, writingOf } from '../format/value.ts';
import { wall } from '../text/wall.ts';
import { belowOf, hotSurface, isCool, meetsAt } from '../unload/load-state.ts';

/** One that is to come is shown from this long before. */
const aheadMs = 4 * hourMs;

/** The unload that the wall speaks of: of those underway the one that is cool last, else the next to come. */
export function unloadToShow({ open }: UnloadsLive, now: EpochMs): UnloadView | null {
  const end = (view: UnloadView) => meetsAt(view)?.likely ?? Number.MAX_VALUE;
  const [last] = open.filter(({ stage }) => stage === 'underway').sort((a, b) => end(b) - end(a));
  if (last !== undefined) return last;
  const [next] = open
    .filter(({ stage, at }) => stage === 'scheduled' && at - now <= aheadMs)
    .sort((a, b) => a.at - b.at);
  return next ?? null;
}

interface Place {
  now: EpochMs;
  zone: string;
  temperature: TemperatureUnit;
  room: string;
}

/** A probe that does not tell of its load: the time is then reckoned without it. */
function probeWords({ now: state }: UnloadView): string | null {
  const is = state?.probe?.state;
  return is === 'silent' || is === 'aside' ? wall.unloadProbe[is] : null;
}

/** What the wall says of an unload: what it is, the one value that counts, what that runs to, and what to mind. */
export function unloadWords(view: UnloadView, { now, zone, temperature, room }: Place) {
  if (view.stage === 'scheduled')
    return {
      what: wall.unloadAhead(room),
      value: momentNear(view.at, now, zone),
      to: wall.unloadCount(view.load.count),
      probe: null,
      caution: null,
    };
  const writing = writingOf('temperature', temperature);
  const below = belowOf(view);
  const meets = meetsAt(view);
  const cool = isCool(view, now);
  const hot = hotSurface(view, now);
  const limit = below === null ? wall.unloadCooling : wall.unloadTo(limitWritten(below, writing));
  return {
    what: wall.unloadSince(clockOf(view.at, zone), room),
    value: cool ? wall.unloadCool : meets === null ? wall.unloadUnknown : spanOf(meets.likely - now),
    to: cool ? '' : limit,
    probe: cool ? null : probeWords(view),
    caution: hot && wall.hot(wholeWritten(hot.tempC, writing)),
  };
}
