import { AppError, type ErrorCode, messageOf } from '../../shared/errors.ts';
import { createLocalHour } from '../../shared/local-hour.ts';
import { planUnload } from '../../shared/unload/plan.ts';
import type { PlanInput } from '../../shared/unload/plan-input.ts';
import type { UnloadPlan } from '../../shared/unloads.ts';
import { type Followed, type NowNeeds, unloadNow } from './now.ts';

/** What is to be worked out of a hot load, as it goes to the thread: data only. */
export type Task =
  | { kind: 'plan'; timeZone: string; input: Omit<PlanInput, 'localHour'> }
  | { kind: 'follow'; needs: NowNeeds };
export type Order = Task & { number: number };

export type Answer = { number: number } & (
  | { kind: 'plan'; plan: UnloadPlan }
  | { kind: 'follow'; followed: Followed }
  | { kind: 'refused'; code: ErrorCode; why: string }
);

/** Works one order out; what is wrong with it comes back in words. */
export function answerOrder(order: Order): Answer {
  const { number } = order;
  try {
    if (order.kind === 'follow') return { kind: 'follow', number, followed: unloadNow(order.needs) };
    const localHour = createLocalHour(order.timeZone);
    return { kind: 'plan', number, plan: planUnload({ ...order.input, localHour }) };
  } catch (thrown) {
    const code = thrown instanceof AppError ? thrown.code : 'unavailable';
    return { kind: 'refused', number, code, why: messageOf(thrown) };
  }
}
