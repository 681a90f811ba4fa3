import { useSignal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import type { UnloadPlan, UnloadQuestion } from '../../../shared/unloads.ts';
import { ask } from '../api.ts';
import { browserClock } from '../browser-clock.ts';
import { site } from '../screen.ts';

/** A question is asked when nothing was typed for this long. */
const restMs = 250;
/** What `now` means moves on, and so does the room: the answer is renewed this often, without a word. */
const renewMs = 60_000;

interface Answered {
  /** The question that it answers. */
  key: string;
  plan: UnloadPlan | null;
  problem: string | null;
}

/** Asks the planner whenever the question changes. The last answer stays until the next has come. */
export function usePlan(base: string, question: UnloadQuestion | null) {
  const answered = useSignal<Answered | null>(null);
  const key = question === null ? null : `${base} ${JSON.stringify(question)}`;
  const stamp = Math.floor(site.value.tick.value / renewMs);
  useEffect(() => {
    if (key === null) {
      answered.value = null;
      return;
    }
    const abort = new AbortController();
    const rest = answered.peek() === null ? 0 : restMs;
    const cancel = browserClock.after(rest, async () => {
      const answer = await ask<UnloadPlan>(`${base}/unloads/plan`, question, abort.signal);
      if (abort.signal.aborted) return;
      answered.value = answer.ok
        ? { key, plan: answer.value, problem: null }
        : { key, plan: null, problem: answer.problem.text };
    });
    return () => {
      cancel();
      abort.abort();
    };
  }, [key, stamp]);
  return {
    plan: answered.value?.plan ?? null,
    problem: answered.value?.problem ?? null,
    /** What is shown answers an older question, or nothing is shown yet. */
    reckoning: key !== null && answered.value?.key !== key,
  };
}
