import type { TransportStatus } from '../../shared/ports.ts';
import type { Cancel, Clock } from '../../shared/time.ts';

/** Keeps a transport's status and tells who listens when it changes. */
export function createStatusBoard(clock: Clock, text: string) {
  let status: TransportStatus = { state: 'connecting', text, since: clock.now() };
  const listeners = new Set<(status: TransportStatus) => void>();
  return {
    status: (): TransportStatus => status,
    /** `since` moves only when the state does; the same status again tells nobody. */
    set(state: TransportStatus['state'], words: string): void {
      if (status.state === state && status.text === words) return;
      status = { state, text: words, since: status.state === state ? status.since : clock.now() };
      for (const listener of listeners) listener(status);
    },
    onStatus(listener: (status: TransportStatus) => void): Cancel {
      listeners.add(listener);
      return () => listeners.delete(listener);
    },
  };
}
