import { messageOf } from '../../shared/errors.ts';
import type { AcceptMessage, InboundMessage } from '../../shared/ports.ts';
import { type Cancel, type Clock, secondMs } from '../../shared/time.ts';

const retryMs = secondMs;

/** A message that the store would not take yet, and that is therefore not acknowledged. */
export interface HeldMessage {
  message: InboundMessage;
  /** True once the connection it came by is gone: whoever sent it will send it again. */
  stale(): boolean;
  /** Called once: with true after it is on disk, with false when it is given up and must not be acknowledged. */
  settle(stored: boolean): void;
}

export interface PatientAcceptParts {
  accept: AcceptMessage;
  clock: Clock;
  /** The reason when the store begins to refuse, undefined when it takes messages again. */
  onHolding(reason: string | undefined): void;
}

/**
 * Offers messages to intake and keeps, in order, what the store refuses (a full disk), offering it again
 * each second. As a transport reads no further while it waits, little is ever held, and when the
 * disk has room again work goes on by itself with nothing lost.
 */
export function createPatientAccept({ accept, clock, onHolding }: PatientAcceptParts) {
  const held: HeldMessage[] = [];
  let cancelRetry: Cancel | undefined;

  const retry = () => {
    cancelRetry = undefined;
    for (;;) {
      const first = held[0];
      if (first === undefined) return onHolding(undefined);
      const stale = first.stale();
      if (!stale)
        try {
          accept(first.message);
        } catch (thrown) {
          return wait(thrown);
        }
      held.shift();
      first.settle(!stale);
    }
  };

  const wait = (thrown: unknown) => {
    onHolding(messageOf(thrown));
    cancelRetry = clock.after(retryMs, retry);
  };

  return {
    /** True when the message is on disk. False: hand it to `hold` and do not acknowledge it. */
    take(message: InboundMessage): boolean {
      if (held.length > 0) return false;
      try {
        accept(message);
        return true;
      } catch (thrown) {
        if (cancelRetry === undefined) wait(thrown);
        return false;
      }
    },
    hold(message: HeldMessage): void {
      held.push(message);
    },
    holding: (): boolean => held.length > 0,
    /** Gives up what is held, unacknowledged. */
    close(): void {
      cancelRetry?.();
      cancelRetry = undefined;
      for (const message of held.splice(0)) message.settle(false);
    },
  };
}
export type PatientAccept = ReturnType<typeof createPatientAccept>;
