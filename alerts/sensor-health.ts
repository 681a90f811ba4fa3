import type { Farm } from '../shared/farm/farm.ts';
import type { Reading } from '../shared/readings.ts';
import { type EpochMs, hourMs } from '../shared/time.ts';
import { type SpikeMemory, stepSpike } from './conditions/spike.ts';
import { badCount, spikeCount, spikeJump } from './definitions/health.ts';

interface ChannelHealth {
  jump: number | null;
  spike: SpikeMemory | null;
  /** Spikes of the last hour. */
  spikes: EpochMs[];
  /** Unusable readings in a row. */
  bad: number;
  /** Both counts were told since the start: alarms that outlived a restart can end. */
  told: boolean;
}

/** Marks readings that are not to be believed, and counts what is wrong with each channel. */
export function createSensorHealth(count: (name: string, t: EpochMs, value: number) => void) {
  let channels = new Map<string, ChannelHealth>();

  const bad = (channel: string, health: ChannelHealth, t: EpochMs) => {
    health.bad += 1;
    count(badCount(channel), t, health.bad);
  };
  const well = (channel: string, health: ChannelHealth, t: EpochMs) => {
    if (health.bad > 0 || !health.told) count(badCount(channel), t, 0);
    health.bad = 0;
    const kept = health.spikes.filter((spike) => spike > t - hourMs);
    if (kept.length < health.spikes.length || !health.told) count(spikeCount(channel), t, kept.length);
    health.spikes = kept;
    health.told = true;
  };

  return {
    setFarm(farm: Farm): void {
      const known = channels;
      channels = new Map();
      for (const channel of farm.channels.values())
        channels.set(channel.id, {
          ...(known.get(channel.id) ?? { spike: null, spikes: [], bad: 0, told: false }),
          jump: spikeJump(channel),
        });
    },

    /** The clock was set back: what was believed last lies ahead, and is no measure of a jump. */
    clockSetBack(): void {
      for (const health of channels.values()) health.spike = null;
    },

    /** The reading, marked suspect when it is a lone spike or its channel is condemned. Before it is stored. */
    appraise(reading: Reading, condemned: boolean): Reading {
      const health = channels.get(reading.channel);
      if (!health || reading.retained || reading.quality === 'out-of-range') return reading;
      let suspect = condemned;
      if (health.jump !== null) {
        const { memory, spike } = stepSpike(health.jump, health.spike, reading.t, reading.value);
        health.spike = memory;
        suspect ||= spike;
      }
      return suspect && reading.quality !== 'suspect' ? { ...reading, quality: 'suspect' } : reading;
    },

    /** Counts a reading that was stored; within the transaction that stored it. */
    note({ channel, t, quality, receivedAt }: Reading): void {
      const health = channels.get(channel);
      if (!health) return;
      if (quality === 'out-of-range') {
        bad(channel, health, receivedAt);
        return;
      }
      if (health.spike?.doubted?.t === t && health.spikes.at(-1) !== t) {
        health.spikes.push(t);
        count(spikeCount(channel), receivedAt, health.spikes.length);
      }
      if (quality === 'suspect') return;
      if (health.bad > 0 || health.spikes.length > 0 || !health.told) well(channel, health, receivedAt);
    },

    /** A payload that was refused as a failed reading: there is nothing to store, but it is counted. */
    refused(channel: string, t: EpochMs): void {
      const health = channels.get(channel);
      if (health) bad(channel, health, t);
    },
  };
}
