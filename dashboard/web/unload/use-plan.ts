import { useSignal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import type { UnloadPlan, UnloadQuestion } from '../../../shared/unloads.ts';
import { ask } from '../api.ts';
import { browserClock } from '../browser-clock.ts';
import { site } from '../screen.ts';

/** A question is asked when nothing was typed for this long. */
const restMs = 250;
/** What `now` means moves on, and so does the room: the answer is renewed this often. */
const renewMs = 60_000;

interface Asked {
  plan: UnloadPlan | null;
  problem: string | null;
  reckoning: boolean;
}

/** Asks the planner whenever the question changes. The last answer stays until the next has come. */
export function usePlan(base: string, question: UnloadQuestion | null): Asked {
  const asked = useSignal<Asked>({ plan: null, problem: null, reckoning: false });
  const key = question === null ? null : JSON.stringify(question);
  const stamp = Math.floor(site.value.tick.value / renewMs);
  useEffect(() => {
    if (key === null) {
      asked.value = { plan: null, problem: null, reckoning: false };
      return;
    }
    const abort = new AbortController();
    asked.value = { ...asked.peek(), reckoning: true };
    const cancel = browserClock.after(asked.peek().plan === null ? 0 : restMs, async () => {
      const answer = await ask<UnloadPlan>(`${base}/unloads/plan`, JSON.parse(key), abort.signal);
      if (abort.signal.aborted) return;
      asked.value = answer.ok
        ? { plan: answer.value, problem: null, reckoning: false }
        : { plan: null, problem: answer.problem.text, reckoning: false };
    });
    return () => {
      cancel();
      abort.abort();
    };
  }, [base, key, stamp]);
  return asked.value;
}
