import { AppError } from '../../shared/errors.ts';
import type { Channel, Farm } from '../../shared/farm/farm.ts';
import type { LiveValue } from '../../shared/readings.ts';
import { type EpochMs, minuteMs, secondMs } from '../../shared/time.ts';
import type { UnloadState } from '../../shared/unload/derive.ts';
import type { Spot } from '../../shared/unload/spots.ts';
import type { UnloadEvent } from '../../shared/unloads.ts';
import { isUsable } from '../../shared/usable.ts';
import type { StoreHistory } from '../store/history.ts';

/** Of a probe one minute in so long counts: a core moves slowly, and each costs a pass over the load. */
const apartMs = 10 * minuteMs;
/** A probe may be late by two of its periods, and by this at least, before it counts as silent. */
const leastSilenceMs = 5 * minuteMs;

/** A probe that stands in a load now, and what it told last. */
export interface ProbeNow {
  channel: string;
  /** Name of its sensor. */
  name: string;
  last: { t: EpochMs; tempC: number } | null;
  /** For how long it has told nothing; null while it speaks. */
  silentMs: number | null;
}

/** Probes of a room that may be put into a load: those that do not stand in a bag. */
const probesIn = (farm: Farm, room: string): Channel[] =>
  [...farm.channels.values()].filter(
    (channel) =>
      channel.room === room && channel.quantity === 'probe-temperature' && channel.sensor.inBag === undefined,
  );

/** @throws AppError 'not-found' for a channel that is none of the room's probes for loads. */
export function checkProbe(farm: Farm, room: string, channel: string): void {
  const probes = probesIn(farm, room);
  if (probes.some(({ id }) => id === channel)) return;
  const place = farm.rooms.get(room)?.name ?? room;
  throw new AppError(
    'not-found',
    `There is no probe '${channel}' for loads in the ${place}. Known: ${probes.map(({ id }) => id).join(', ') || 'none; give a sensor there a channel of quantity probe-temperature'}.`,
  );
}

/** Channel of the probe that stands in a load now; undefined: none. */
export const probeIn = ({ probes }: Pick<UnloadState, 'probes'>): string | undefined =>
  probes.findLast(({ to }) => to === null)?.channel;

/**
 * A load that begins without a word of its probe has the one that the farm file puts into loads of its room; none
 * while that stands in another.
 */
export function withProbe(event: UnloadEvent, farm: Farm, underway: readonly UnloadState[]): UnloadEvent {
  if (event.kind !== 'begun' || event.probe !== undefined) return event;
  const own = probesIn(farm, event.room).filter(({ sensor }) => sensor.inLoads === true);
  if (own.length === 0) return event;
  const free = own.find(({ id }) => !underway.some((one) => probeIn(one) === id));
  return { ...event, probe: free?.id ?? null };
}

interface ProbeNeeds {
  unload: Pick<UnloadState, 'probes'>;
  now: EpochMs;
  farm: Farm;
  history: Pick<StoreHistory, 'readMinutes'>;
  liveValue: (channel: string) => LiveValue | undefined;
}

/** What probes told while they stood in a load: the last minute of each ten, and the newest; how each came to it. */
export function probeSpots({ unload, now, history }: Omit<ProbeNeeds, 'farm' | 'liveValue'>): Spot[] {
  return unload.probes.flatMap(({ channel, from, to }) => {
    // What it told before it was put in says how it rises as it takes the temperature of the load.
    const { t, mean } = history.readMinutes(channel, from - apartMs, Math.min(now, to ?? now) + 1);
    const spots: Spot[] = [];
    let place = Number.NaN;
    t.forEach((start, index) => {
      // In part it tells of where the probe was before.
      if (start <= from) return;
      // A minute's mean stands for its middle.
      const at = Math.min(start + minuteMs / 2, now);
      const tempC = mean[index]!;
      const slot = Math.floor((at - from) / apartMs);
      // No means over more: a probe that is just put in would seem to stand in something between.
      if (slot === place) spots.pop();
      place = slot;
      const before = index === 0 ? null : (tempC - mean[index - 1]!) / ((start - t[index - 1]!) / minuteMs);
      spots.push({
        ...{ t: at, tempC, where: 'core', source: channel, stays: true },
        ...(before === null ? {} : { roseKPerMin: before }),
      });
    });
    return spots;
  });
}

/** The probe that stands in a load now; null while none does. */
export function probeNow({ unload, now, farm, liveValue }: Omit<ProbeNeeds, 'history'>): ProbeNow | null {
  const span = unload.probes.findLast(({ to }) => to === null);
  if (span === undefined) return null;
  const { channel, from } = span;
  const known = farm.channels.get(channel);
  const value = liveValue(channel);
  const last =
    value !== undefined && value.t > from && isUsable(value.quality)
      ? { t: value.t, tempC: value.value }
      : null;
  const silentMs = now - (last?.t ?? from);
  const everyMs = (known?.sensor.everyS ?? 60) * secondMs;
  return {
    ...{ channel, name: known?.sensor.name ?? known?.sensor.id ?? channel, last },
    silentMs: silentMs > Math.max(leastSilenceMs, 2 * everyMs) ? silentMs : null,
  };
}
