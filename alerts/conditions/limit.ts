import { type DelayMemory, type DelayRule, stepDelayed } from './delayed.ts';

/** A limit on a value, in the value's own unit. */
export interface LimitRule extends DelayRule {
  side: 'above' | 'below';
  limit: number;
  /** How far back inside the limit the value must come before the condition ends; 0 or more. */
  deadband: number;
}

/**
 * One reading judged against a limit: it counts strictly beyond the limit on entry, and strictly inside
 * limit and deadband on exit, each lasting its delay. Returns the same memory when nothing changed.
 */
export function stepLimit(rule: LimitRule, memory: DelayMemory, t: number, value: number): DelayMemory {
  const { limit, deadband } = rule;
  return rule.side === 'above'
    ? stepDelayed(rule, memory, t, value > limit, value < limit - deadband)
    : stepDelayed(rule, memory, t, value < limit, value > limit + deadband);
}

/** How far a value is beyond the limit; negative while inside. */
export const excess = (rule: Pick<LimitRule, 'side' | 'limit'>, value: number): number =>
  rule.side === 'above' ? value - rule.limit : rule.limit - value;

/** Whether some reading from `low` to `high` could begin to turn a rule whose delay is not yet running. */
export function couldTurn(
  rule: LimitRule,
  { on }: Pick<DelayMemory, 'on'>,
  low: number,
  high: number,
): boolean {
  const { side, limit, deadband } = rule;
  if (side === 'above') return on ? low < limit - deadband : high > limit;
  return on ? high > limit + deadband : low < limit;
}
