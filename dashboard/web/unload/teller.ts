import type { UnloadAct } from '../../../shared/api/unloads.ts';
import type { EpochMs } from '../../../shared/time.ts';
import type { Answer } from '../api.ts';
import { newId } from '../parts/new-id.ts';

type Bare<T> = T extends unknown ? Omit<T, 'id' | 't' | 'who'> & { t?: EpochMs } : never;
/** What happened, without what is known here: who says it, when, and under which name. */
export type Doing = Bare<UnloadAct>;
/** What happened, under its own name and time. */
export type Told = Doing & { id: string; t: EpochMs };

/** Whether an answer says that nothing was stored; one that got lost, or came of a fault, says neither. */
const isRefusal = ({ status }: { status: number }): boolean => status >= 400 && status < 500;

/**
 * Names and times what is told. The same again after its answer got lost is the same event, so that it is stored
 * once; after a refusal it is one of its own, of the time at which it is tried again.
 */
export function createTeller<T>(send: (told: Told) => Promise<Answer<T>>, now: () => EpochMs) {
  let lost: { key: string; id: string; t: EpochMs } | null = null;
  return async (doing: Doing): Promise<Answer<T>> => {
    const key = JSON.stringify(doing);
    const { id, t } = lost?.key === key ? lost : { id: newId(), t: Math.round(now()) };
    const answer = await send({ t, ...doing, id });
    lost = answer.ok || isRefusal(answer.problem) ? null : { key, id, t };
    return answer;
  };
}
