import type { Cancel, Clock } from '../../shared/time.ts';

/** Something that tells when it changes. */
type Source = (listener: () => void) => Cancel;

/**
 * Resolves once `holds` does, looking whenever the source tells of a change, or every few ms of a clock
 * for what tells nobody. The test's own timeout ends a wait that never comes true.
 */
export function until(source: Source | Clock, holds: () => boolean): Promise<void> {
  return new Promise((resolve, reject) => {
    let cancel: Cancel | undefined;
    let done = false;
    const look = (): void => {
      if (done) return;
      try {
        if (!holds()) return;
        resolve();
      } catch (thrown) {
        reject(thrown);
      }
      done = true;
      cancel?.();
    };
    cancel = typeof source === 'function' ? source(look) : source.every(5, look);
    look();
    if (done) cancel();
  });
}
