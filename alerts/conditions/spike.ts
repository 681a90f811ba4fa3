import { type EpochMs, minuteMs } from '../../shared/time.ts';

/** What a channel last said that was believed, and a jump that waits to be confirmed. */
export interface SpikeMemory {
  t: EpochMs;
  value: number;
  doubted: { t: EpochMs; value: number } | null;
}

/** After a gap as long as this nothing is known of what is ordinary. */
const longGapMs = 15 * minuteMs;

/**
 * Whether a reading is a spike: further from the last believed one than rooms can move in the time between
 * (`jump` at once and as much again each 5 min), and not confirmed by the reading before it. A real jump
 * costs one reading; a lone one is never believed. Asked again about the same reading, it answers the same.
 */
export function stepSpike(
  jump: number,
  memory: SpikeMemory | null,
  t: EpochMs,
  value: number,
): { memory: SpikeMemory; spike: boolean } {
  const believed = { memory: { t, value, doubted: null }, spike: false };
  if (memory === null || t - memory.t > longGapMs) return believed;
  if (t <= memory.t) return { memory, spike: false };
  const allowed = jump * (1 + (t - memory.t) / (5 * minuteMs));
  if (Math.abs(value - memory.value) <= allowed) return believed;
  const { doubted } = memory;
  if (doubted !== null && t > doubted.t && Math.abs(value - doubted.value) <= jump) return believed;
  return { memory: { ...memory, doubted: { t, value } }, spike: true };
}
