import type { FarmView, LiveState } from '../../../shared/live.ts';

type Probe = Pick<FarmView['channels'][number], 'id' | 'sensor'>;

/** Probes of a room that may stand in a hot load: those that do not stand in a bag of a batch. */
export const probesIn = ({ channels }: Pick<FarmView, 'channels'>, room: string): Probe[] =>
  channels.filter((one) => one.room === room && one.quantity === 'probe-temperature' && one.stands !== 'bag');

/** The farm's channels without probes that stand in a load already, but for this one. */
export const freeChannels = (
  { farm, unloads }: Pick<LiveState, 'farm' | 'unloads'>,
  unload?: string,
): Pick<FarmView, 'channels'> => {
  const taken = new Set(
    unloads.open.flatMap(({ id, now }) => (id === unload ? [] : (now?.probe?.channel ?? []))),
  );
  return { channels: farm.channels.filter(({ id }) => !taken.has(id)) };
};

/** The one that the farm file puts into loads of a room; null where it names none. */
export const ownProbe = ({ channels }: Pick<FarmView, 'channels'>, room: string): string | null =>
  channels.find((one) => one.room === room && one.stands === 'loads')?.id ?? null;

/** What a probe's sensor is called; its channel where the farm no longer knows it. */
export const probeName = ({ channels }: Pick<FarmView, 'channels'>, channel: string): string =>
  channels.find(({ id }) => id === channel)?.sensor ?? channel;

/** What a declaration says of the probe; nothing where the room has none to choose from. */
export function chosenProbe(
  { room, probe }: { room: string; probe: string | null },
  farm: Pick<FarmView, 'channels'>,
): { probe?: string | null } {
  const probes = probesIn(farm, room);
  if (probes.length === 0) return {};
  const chosen = probe ?? ownProbe(farm, room);
  return { probe: probes.some(({ id }) => id === chosen) ? chosen : null };
}
