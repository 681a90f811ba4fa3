import type { FarmView, LiveState } from '../../../shared/live.ts';
import type { LiveValue, Series } from '../../../shared/readings.ts';
import { dayMs, type EpochMs, hourMs } from '../../../shared/time.ts';
import { isUsable } from '../../../shared/usable.ts';
import { spanOf } from '../format/time.ts';
import { percentOf } from '../format/value.ts';
import { cooler as text } from '../text/cooler.ts';

/** What tells of coolers in a room. */
export const coolersOf = (farm: Pick<FarmView, 'channels'>, room: string): FarmView['channels'] =>
  farm.channels.filter((channel) => channel.room === room && channel.quantity === 'cooler-on');

/** `on`, `off`, or `on 40 % of the time`, from a value in %. */
export function stateWords(percent: number): string {
  if (percent <= 0) return text.off;
  return percent >= 100 ? text.on : text.part(percentOf(percent / 100));
}

/** The coolers of a room in a few words, `Cooler on`; null where nothing tells of one. */
export function coolersNow(live: Pick<LiveState, 'farm' | 'channels'>, room: string): string | null {
  const states = coolersOf(live.farm, room).map(({ id }) => {
    const value = live.channels[id];
    return value !== undefined && isKnown(value) ? stateWords(value.value) : text.unknown;
  });
  if (states.length === 0) return null;
  return states.length === 1 ? text.is(states[0]!) : text.are(states.join(', '));
}

const isKnown = ({ silent, quality }: LiveValue): boolean => !silent && isUsable(quality);

/** What one cooler does now, as a sentence. */
export function nowWords(value: LiveValue | undefined, now: EpochMs): string {
  if (value === undefined) return text.never;
  if (!isKnown(value)) return text.silent(spanOf(now - value.t));
  if (value.value > 0 && value.value < 100) return text.says(percentOf(value.value / 100));
  return value.value > 0 ? text.runs : text.rests;
}

/**
 * For what part of the last hour and day a cooler ran, as far as it is known; null where nothing is.
 *
 * @param series of the last day, in points of a few minutes
 */
export function pastWords({ points, bucketMs }: Series, now: EpochMs): string | null {
  const shareSince = (from: EpochMs): string | null => {
    const known = points.filter(({ t }) => t >= from);
    if (known.length === 0) return null;
    return percentOf(known.reduce((sum, { mean }) => sum + mean, 0) / known.length / 100);
  };
  const [hour, day] = [shareSince(now - hourMs), shareSince(now - dayMs)];
  if (day === null) return null;
  const said = text.past([...(hour === null ? [] : [text.hour(hour)]), text.day(day)]);
  const knownMs = points.length * bucketMs;
  return knownMs > 0.9 * dayMs ? said : `${said} ${text.known(spanOf(knownMs))}`;
}
