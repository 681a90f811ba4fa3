import type { ChannelReadings } from './protocol.ts';

/** Readings on their way to the computation, gathered by channel. */
export function createReadingBuffer() {
  let channels = new Map<string, { t: number[]; value: number[] }>();
  let size = 0;
  return {
    add(channel: string, t: number, value: number): void {
      let found = channels.get(channel);
      if (found === undefined) {
        found = { t: [], value: [] };
        channels.set(channel, found);
      }
      found.t.push(t);
      found.value.push(value);
      size++;
    },
    size: () => size,
    take(): ChannelReadings[] {
      const taken = [...channels].map(([channel, { t, value }]) => ({
        channel,
        t: Float64Array.from(t),
        value: Float64Array.from(value),
      }));
      channels = new Map();
      size = 0;
      return taken;
    },
  };
}
