import { type Farm, isInLoads } from '../../shared/farm/farm.ts';
import type { LiveValue } from '../../shared/readings.ts';
import type { WatchedUnload } from '../../shared/unload/watched.ts';
import type { LiveValues } from '../intake/live-values.ts';

interface ToldNeeds {
  farm: () => Farm;
  live: Pick<LiveValues, 'value' | 'all'>;
  unloads: () => readonly Pick<WatchedUnload, 'probe'>[];
}

/** Newest values as screens are told them: of a probe for hot loads that stands in none nobody expects any. */
export function createToldValues({ farm, live, unloads }: ToldNeeds) {
  const standsInLoad = (channel: string): boolean =>
    unloads().some(({ probe }) => probe?.channel === channel);
  const told = (id: string, value: LiveValue): LiveValue => {
    if (!value.silent) return value;
    const channel = farm().channels.get(id);
    const isIdle = channel !== undefined && isInLoads(channel) && !standsInLoad(id);
    return isIdle ? { ...value, silent: false, idle: true } : value;
  };
  const value = (channel: string): LiveValue | undefined => {
    const newest = live.value(channel);
    return newest && told(channel, newest);
  };
  return {
    value,
    all: (): Record<string, LiveValue> =>
      Object.fromEntries(Object.entries(live.all()).map(([id, newest]) => [id, told(id, newest)])),
    of(channels: Iterable<string>): Record<string, LiveValue> {
      const values: Record<string, LiveValue> = {};
      for (const channel of channels) {
        const newest = value(channel);
        if (newest !== undefined) values[channel] = newest;
      }
      return values;
    },
    /** Of probes for loads, which an event of a load may have put into one or taken out. */
    ofProbes(): Record<string, LiveValue> {
      return this.of([...farm().channels.values()].filter(isInLoads).map(({ id }) => id));
    },
  };
}
