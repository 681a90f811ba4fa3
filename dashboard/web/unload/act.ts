import { useSignal } from '@preact/signals';
import { useRef } from 'preact/hooks';
import type { UnloadAct } from '../../../shared/api/unloads.ts';
import type { EpochMs } from '../../../shared/time.ts';
import { ask } from '../api.ts';
import { whoHere } from '../doors/entry.ts';
import { newId } from '../parts/new-id.ts';
import { site } from '../screen.ts';

type Bare<T> = T extends unknown ? Omit<T, 'id' | 't' | 'who'> & { t?: EpochMs } : never;
/** What happened, without what is known here: who says it, when, and under which name. */
export type Doing = Bare<UnloadAct>;

/** Tells the farm what happened to an unload. What is told twice, because the first answer got lost, is stored once. */
export function useTelling() {
  const busy = useSignal(false);
  const refusal = useSignal<string | null>(null);
  const kept = useRef<{ key: string; id: string; t: EpochMs } | null>(null);
  const tell = async (doing: Doing): Promise<boolean> => {
    if (busy.peek()) return false;
    const key = JSON.stringify(doing);
    const now = Math.round(site.peek().now.peek());
    if (kept.current?.key !== key) kept.current = { key, id: newId(), t: now };
    const { id, t } = kept.current;
    busy.value = true;
    refusal.value = null;
    const answer = await ask(`${site.peek().base}/unloads/events`, { t, ...doing, id, who: whoHere() });
    busy.value = false;
    if (answer.ok) kept.current = null;
    else refusal.value = answer.problem.text;
    return answer.ok;
  };
  return { busy, refusal, tell };
}
