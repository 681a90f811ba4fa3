import type { Worker } from 'node:worker_threads';
import { createAnswerer } from './answer.ts';
import type { FromEngine, ToEngine } from './protocol.ts';

/** The way to a computation and back. */
export interface EngineChannel {
  post(message: ToEngine): void;
  close(): Promise<void>;
}

/** In this thread, answering at once: for tests, and where a thread costs more than it saves. */
export function localChannel(onMessage: (message: FromEngine) => void): EngineChannel {
  const post = createAnswerer(onMessage);
  return { post, close: async () => {} };
}

/** In a thread. `onGone` is called once if it ends without being asked to. */
export function threadChannel(
  worker: Worker,
  onMessage: (message: FromEngine) => void,
  onGone: (why: string) => void,
): EngineChannel {
  let open = true;
  const gone = (why: string): void => {
    if (!open) return;
    open = false;
    onGone(why);
  };
  worker.on('message', (message: FromEngine) => {
    if (open) onMessage(message);
  });
  worker.on('error', (error) => gone(error.message));
  worker.on('exit', (code) => gone(`it ended with code ${code}`));
  return {
    post: (message) => worker.postMessage(message),
    async close() {
      open = false;
      await worker.terminate();
    },
  };
}
