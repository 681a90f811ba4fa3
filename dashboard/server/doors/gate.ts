import { AppError } from '../../../shared/errors.ts';

/**
 * Lets a few tasks run at once and a few more wait: hashing a password costs 16 MB and a tenth of a second,
 * and a flood of them must not take the machine from the readings.
 * @throws AppError 'unavailable' when the queue is full.
 */
export function createGate({ atOnce, waiting }: { atOnce: number; waiting: number }) {
  let running = 0;
  const queue: (() => void)[] = [];
  const next = () => {
    running -= 1;
    queue.shift()?.();
  };
  return async function pass<T>(task: () => Promise<T>): Promise<T> {
    if (running >= atOnce) {
      if (queue.length >= waiting)
        throw new AppError('unavailable', 'Many people sign in at once; try again in a few seconds.');
      await new Promise<void>((go) => queue.push(go));
    }
    running += 1;
    try {
      return await task();
    } finally {
      next();
    }
  };
}
