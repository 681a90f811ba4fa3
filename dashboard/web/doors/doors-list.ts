import { useSignal } from '@preact/signals';
import { useMemo } from 'preact/hooks';
import type { Answer } from '../api.ts';
import { useAnswer } from '../parts/use-answer.ts';
import { createSending } from './send.ts';

/** A list of who or what may enter; it is asked for anew after each act on it. */
export function useDoorsList<List>(path: string) {
  const round = useSignal(0);
  const sending = useMemo(createSending, []);
  const { value, failed, again } = useAnswer<List>(path, round.value);
  return {
    /** Null until it is there. */
    value,
    failed,
    again,
    sending,
    async act<T>(to: string, body: unknown = {}): Promise<Answer<T>> {
      const answer = await sending.send<T>(to, body);
      if (answer.ok) round.value += 1;
      return answer;
    },
  };
}
