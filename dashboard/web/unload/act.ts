import { useSignal } from '@preact/signals';
import { useMemo } from 'preact/hooks';
import { ask } from '../api.ts';
import { whoHere } from '../doors/entry.ts';
import { site } from '../screen.ts';
import { createTeller, type Doing, type Told } from './teller.ts';

const send = (told: Told) => ask(`${site.peek().base}/unloads/events`, { ...told, who: whoHere() });
const now = () => site.peek().now.peek();

/** Tells the farm what happened to an unload. What is told twice, because the first answer got lost, is stored once. */
export function useTelling() {
  const busy = useSignal(false);
  const refusal = useSignal<string | null>(null);
  const teller = useMemo(() => createTeller(send, now), []);
  const tell = async (doing: Doing): Promise<boolean> => {
    if (busy.peek()) return false;
    busy.value = true;
    refusal.value = null;
    const answer = await teller(doing);
    busy.value = false;
    if (!answer.ok) refusal.value = answer.problem.text;
    return answer.ok;
  };
  return { busy, refusal, tell };
}
export type Telling = ReturnType<typeof useTelling>;
