import { systemClock } from '../../collector/system-clock.ts';

/**
 * Asks again and again until an answer is as wanted, and gives that answer. A question that fails counts as
 * not answered. The test's own timeout ends it.
 */
export async function asked<T>(ask: () => Promise<T> | T, wanted: (answer: T) => boolean): Promise<T> {
  for (;;) {
    try {
      const answer = await ask();
      if (wanted(answer)) return answer;
    } catch {
      // Not up yet, or just gone.
    }
    await new Promise<void>((resolve) => systemClock.after(50, resolve));
  }
}
