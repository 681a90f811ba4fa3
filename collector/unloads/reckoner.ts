import type { Worker } from 'node:worker_threads';
import { AppError } from '../../shared/errors.ts';
import type { PlanInput } from '../../shared/unload/plan-input.ts';
import type { UnloadPlan } from '../../shared/unloads.ts';
import { startThread } from '../start-thread.ts';
import type { Followed, NowNeeds } from './now.ts';
import { type Answer, answerOrder, type Order, type Task } from './orders.ts';

interface Waiting {
  resolve: (answer: Answer) => void;
  reject: (error: AppError) => void;
}

/**
 * Plans hot loads and follows them, apart from the loop that takes readings in: in a thread that is started
 * with the first order, and again after one was lost.
 *
 * @param inThread false works in the calling thread: for tests.
 */
export function createReckoner(inThread: boolean) {
  const waiting = new Map<number, Waiting>();
  let worker: Worker | undefined;
  let ordered = 0;
  let closed = false;

  const settle = (answer: Answer): void => {
    const one = waiting.get(answer.number);
    waiting.delete(answer.number);
    if (answer.kind === 'refused') one?.reject(new AppError(answer.code, answer.why));
    else one?.resolve(answer);
  };
  const lost = (why: string): void => {
    worker = undefined;
    const all = [...waiting.values()];
    waiting.clear();
    for (const { reject } of all)
      reject(new AppError('unavailable', `That could not be worked out (${why}); ask again.`));
  };
  const start = (): Worker => {
    const thread = startThread('unloads/thread', 'hot loads');
    thread.on('message', settle);
    thread.on('error', (error) => lost(error.message));
    thread.on('exit', (code) => {
      if (worker === thread) lost(`its thread ended with code ${code}`);
    });
    return thread;
  };
  const order = (task: Task): Promise<Answer> =>
    new Promise<Answer>((resolve, reject) => {
      // What was gathered while the site closed must not start a thread that nobody ends.
      if (closed) throw new AppError('unavailable', 'The site is closing; ask again when it is back.');
      const numbered: Order = { ...task, number: ++ordered };
      waiting.set(numbered.number, { resolve, reject });
      if (inThread) {
        worker ??= start();
        worker.postMessage(numbered);
      } else settle(answerOrder(numbered));
    });

  return {
    /** @throws AppError with what is wrong with the question, 'unavailable' when the thread was lost. */
    async plan(timeZone: string, input: Omit<PlanInput, 'localHour'>): Promise<UnloadPlan> {
      const answer = await order({ kind: 'plan', timeZone, input });
      if (answer.kind !== 'plan') throw new AppError('unavailable', 'A plan was asked for.');
      return answer.plan;
    },
    /** A load as it is held to be now. Throws as `plan` does. */
    async follow(needs: NowNeeds): Promise<Followed> {
      const answer = await order({ kind: 'follow', needs });
      if (answer.kind !== 'follow') throw new AppError('unavailable', 'A load was to be followed.');
      return answer.followed;
    },
    /** Ends the thread; what was asked and what is asked from now on is refused as 'unavailable'. */
    async close(): Promise<void> {
      closed = true;
      const thread = worker;
      worker = undefined;
      await thread?.terminate();
      lost('the site is closing');
    },
  };
}
export type Reckoner = ReturnType<typeof createReckoner>;
