import { startThread } from '../start-thread.ts';
import type { RoomAnswer, RoomOrder } from './thread.ts';

/** A thread that fits rooms, one after another, and ends when told. */
export function createFitThread() {
  const worker = startThread('rooms/thread', 'rooms');
  worker.unref();
  let waiting: { resolve: (answer: RoomAnswer) => void; reject: (thrown: unknown) => void } | undefined;
  let lost: unknown;
  const failed = (thrown: unknown) => {
    lost ??= thrown;
    waiting?.reject(thrown);
    waiting = undefined;
  };
  worker.on('message', (answer: RoomAnswer) => {
    waiting?.resolve(answer);
    waiting = undefined;
  });
  worker.on('error', failed);
  worker.on('exit', () => failed(new Error('the thread that fits rooms has ended')));

  return {
    /** One at a time: ask again when it has answered. */
    fit: (order: RoomOrder): Promise<RoomAnswer> =>
      new Promise((resolve, reject) => {
        // It may have gone between two rooms, and would never answer.
        if (lost !== undefined) throw lost;
        waiting = { resolve, reject };
        worker.postMessage(order);
      }),
    async close(): Promise<void> {
      await worker.terminate();
    },
  };
}
