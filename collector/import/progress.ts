import { type Clock, secondMs } from '../../shared/time.ts';

/** Where progress and bad lines are told; standard error at the command line. */
export interface Telling {
  write(text: string): unknown;
  isTTY?: boolean;
}

/**
 * One line that says how far a long piece of work is: rewritten in place at a terminal, a line each five
 * seconds elsewhere. `note` puts a line above it.
 */
export function createProgress(to: Telling, clock: Pick<Clock, 'now'>) {
  const everyMs = to.isTTY === true ? secondMs / 4 : 5 * secondMs;
  let toldAt = clock.now();
  let shown = false;
  const clear = (): void => {
    if (shown) to.write('\r\x1b[K');
    shown = false;
  };
  return {
    /** @param words made only when they are shown */
    at(words: () => string): void {
      if (clock.now() - toldAt < everyMs) return;
      toldAt = clock.now();
      clear();
      to.write(to.isTTY === true ? words() : `${words()}\n`);
      shown = to.isTTY === true;
    },
    note(line: string): void {
      clear();
      to.write(`${line}\n`);
    },
    end: clear,
  };
}
export type Progress = ReturnType<typeof createProgress>;
