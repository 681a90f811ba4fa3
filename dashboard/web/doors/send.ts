import { type Signal, signal } from '@preact/signals';
import { type Answer, ask, type Problem } from '../api.ts';
import { askEntry } from './entry.ts';

/** A change that a form sends: what went wrong, and whether it is under way. */
export function createSending() {
  const problem: Signal<Problem | null> = signal(null);
  const busy = signal(false);
  return {
    problem,
    busy,
    async send<T>(path: string, body: unknown): Promise<Answer<T>> {
      busy.value = true;
      const answer = await ask<T>(path, body);
      busy.value = false;
      problem.value = answer.ok ? null : answer.problem;
      // Refused because the session is over: the whole screen should say so.
      if (!answer.ok && answer.problem.status === 401) void askEntry();
      return answer;
    },
  };
}
export type Sending = ReturnType<typeof createSending>;
