import type { Band } from '../../../shared/forecasts.ts';
import type { EpochMs } from '../../../shared/time.ts';
import { goesAsPlanned } from '../../../shared/unload/against-plan.ts';
import type { UnloadView } from '../../../shared/unloads.ts';
import { momentNear, spanOf } from '../format/time.ts';
import {
  limitWritten,
  numberOf,
  type TemperatureUnit,
  wholeWritten,
  withUnit,
  writingOf,
  written,
} from '../format/value.ts';
import { unload as text } from '../text/unload.ts';
import { belowOf, hotSurface, isCool, meetsAt } from './load-state.ts';

interface Place {
  now: EpochMs;
  zone: string;
  temperature: TemperatureUnit;
}

export interface Countdown {
  /** `5 h 36 min`, or that it may be inoculated now. */
  value: string;
  /** What it counts to. */
  to: string;
  /** `between 19:32 and 21:14`; null when it is not foreseen or there. */
  range: string | null;
  cool: boolean;
}

/** How long until the core may be inoculated, by what is known now, or by the plan before anything is. */
export function countdown(view: UnloadView, { now, zone, temperature }: Place): Countdown {
  const writing = writingOf('temperature', temperature);
  const below = belowOf(view);
  const to = below === null ? text.coolInPlain : text.coolIn(limitWritten(below, writing));
  if (isCool(view, now)) return { value: text.coolNow, to: '', range: null, cool: true };
  const meets = meetsAt(view);
  if (meets === null) return { value: text.coolUnknown, to, range: null, cool: false };
  return {
    value: spanOf(meets.likely - now),
    to,
    range: text.between(momentNear(meets.earliest, now, zone), momentNear(meets.latest, now, zone)),
    cool: false,
  };
}

/** What a hand must not meet; null where it may, or nothing is known of it. */
export function surfaceNow(view: UnloadView, { now, zone, temperature }: Place): string | null {
  const writing = writingOf('temperature', temperature);
  const say = (tempC: number) => wholeWritten(tempC, writing);
  const hot = hotSurface(view, now);
  if (hot === null) return null;
  return hot.until === null
    ? text.surfaceNever(say(hot.tempC))
    : text.surface(say(hot.tempC), momentNear(hot.until, now, zone));
}

/** How the air is against the plan: `0.7 K above what was expected`; as expected while no remark is made of it. */
export function againstPlan(beyondK: number | null, temperature: TemperatureUnit): string | null {
  if (beyondK === null) return null;
  if (goesAsPlanned(beyondK)) return text.asExpected;
  const step = stepWords(Math.abs(beyondK), temperature);
  return beyondK > 0 ? text.beyond(step) : text.below(step);
}

/** A difference of temperatures: `0.7 K`, or `1.3 °F` where the screen shows Fahrenheit. */
export function stepWords(stepK: number, temperature: TemperatureUnit): string {
  const { shownStep, unit } = writingOf('temperature', temperature);
  return withUnit(numberOf(shownStep(stepK), 1), temperature === 'C' ? 'K' : unit);
}

export const tempWords = (tempC: number, temperature: TemperatureUnit): string =>
  written(tempC, writingOf('temperature', temperature));

/** `(68.0–74.0)` */
export function rangeOf({ low, high }: Band, temperature: TemperatureUnit): string {
  const { shown, decimals } = writingOf('temperature', temperature);
  return `(${numberOf(shown(low), decimals)}–${numberOf(shown(high), decimals)})`;
}

/** An open unload in one line: `Unload since 13:40: 5 h 36 min until 27 °C at the core`. */
export function unloadLine(view: UnloadView, place: Place): string {
  const when = momentNear(view.at, place.now, place.zone);
  if (view.stage === 'scheduled') return text.lineAhead(when);
  const { value, to } = countdown(view, place);
  return text.line(when, `${value} ${to}`.trim());
}
