import { z } from 'zod';

/** A verdict that must last before it counts. */
export interface DelayRule {
  onDelayMs: number;
  offDelayMs: number;
}

export const delayMemory = z.object({
  on: z.boolean(),
  /** First instant of the unbroken run that will turn it, once it has lasted; null: nothing pending. */
  pendingSince: z.number().nullable(),
  /** First instant of the run that turned it on. */
  onSince: z.number().nullable(),
});
export type DelayMemory = z.infer<typeof delayMemory>;

export const restingDelay: DelayMemory = { on: false, pendingSince: null, onSince: null };

/**
 * On- and off-delay, judged at the times of the readings and never by a timer, so that a back-test over
 * the same readings turns at the same instants. `beyond` is asked while off, `cleared` while on; one
 * reading that breaks the run starts the delay anew. Returns the same object when nothing changed.
 */
export function stepDelayed(
  rule: DelayRule,
  memory: DelayMemory,
  t: number,
  beyond: boolean,
  cleared: boolean,
): DelayMemory {
  const turning = memory.on ? cleared : beyond;
  if (!turning) return memory.pendingSince === null ? memory : { ...memory, pendingSince: null };
  const pendingSince = memory.pendingSince ?? t;
  const delay = memory.on ? rule.offDelayMs : rule.onDelayMs;
  if (t - pendingSince < delay) return memory.pendingSince === null ? { ...memory, pendingSince } : memory;
  return memory.on ? restingDelay : { on: true, pendingSince: null, onSince: pendingSince };
}
