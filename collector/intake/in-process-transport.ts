import { AppError } from '../../shared/errors.ts';
import type { AcceptMessage, Transport, TransportStatus } from '../../shared/ports.ts';
import type { Clock } from '../../shared/time.ts';

/** A published message that a simulated device may listen for. */
export type Published = (topic: string, payload: string | Uint8Array) => void;

export interface InProcessTransport extends Transport {
  /**
   * Hands a message to intake at once, as fresh. Throws what intake throws when the store fails, and
   * AppError 'unavailable' before start or after stop.
   */
  deliver(topic: string, payload: string | Uint8Array): void;
  /** Hears what the site publishes. */
  onPublish(listener: Published): () => void;
}

/** For training runs and for making history: no broker, no network, the clock's own time. */
export function createInProcessTransport({ clock }: { clock: Clock }): InProcessTransport {
  let accept: AcceptMessage | undefined;
  let status: TransportStatus = { state: 'connecting', text: 'in this process', since: clock.now() };
  const listeners = new Set<(status: TransportStatus) => void>();
  const published = new Set<Published>();

  const turn = (state: TransportStatus['state']): void => {
    status = { ...status, state, since: clock.now() };
    for (const listener of listeners) listener(status);
  };

  return {
    async start(acceptMessage) {
      accept = acceptMessage;
      turn('connected');
    },
    // Intake sorts by topic itself, and everything delivered here is meant for it.
    subscribe() {},
    async publish(topic, payload) {
      for (const listener of published) listener(topic, payload);
    },
    status: () => status,
    onStatus(listener) {
      listeners.add(listener);
      return () => listeners.delete(listener);
    },
    async stop() {
      accept = undefined;
      turn('closed');
    },
    deliver(topic, payload) {
      if (accept === undefined)
        throw new AppError('unavailable', 'The in-process transport is not started, or was stopped.');
      const bytes = typeof payload === 'string' ? Buffer.from(payload) : payload;
      accept({ topic, payload: bytes, retained: false, receivedAt: clock.now() });
    },
    onPublish(listener) {
      published.add(listener);
      return () => published.delete(listener);
    },
  };
}
