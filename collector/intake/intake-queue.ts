import { messageOf } from '../../shared/errors.ts';
import type { AcceptMessage, InboundMessage } from '../../shared/ports.ts';
import { type Cancel, type Clock, secondMs } from '../../shared/time.ts';

const retryMs = secondMs;
/** Bounds how long one commit keeps the process. */
const mostInCommit = 2000;

export interface IntakeQueueParts<Ticket> {
  accept: AcceptMessage;
  clock: Clock;
  /** True once whoever sent it will send it again, because its connection is gone. */
  stale(ticket: Ticket): boolean;
  /** Called once per message: with true after it is on disk, with false when it is given up and must not be acknowledged. */
  settle(ticket: Ticket, stored: boolean): void;
  /** After everything offered is settled. */
  onEmpty(): void;
  /** The reason when the store begins to refuse, undefined when it takes messages again. */
  onHolding(reason: string | undefined): void;
}

/**
 * Takes messages to disk in the order they came, those of one turn of the event loop in one commit: what a
 * socket read brings costs one sync of the disk, and a lone message waits for nothing. While the store
 * refuses (a full disk) messages are held unacknowledged and offered again each second, so
 * that work goes on by itself, with nothing lost, when the disk has room again.
 */
export function createIntakeQueue<Ticket>(parts: IntakeQueueParts<Ticket>) {
  const { accept, clock, stale, settle, onEmpty, onHolding } = parts;
  let messages: InboundMessage[] = [];
  let tickets: Ticket[] = [];
  let planned = false;
  let refusing = false;
  let cancelRetry: Cancel | undefined;

  const offer = (message: InboundMessage, ticket: Ticket): void => {
    messages.push(message);
    tickets.push(ticket);
    if (refusing) return;
    if (messages.length >= mostInCommit) flush();
    else if (!planned) {
      planned = true;
      setImmediate(flushPlanned);
    }
  };

  const flushPlanned = (): void => {
    planned = false;
    if (!refusing) flush();
  };

  const flush = (): void => {
    dropStale();
    try {
      if (accept.all === undefined) storeEach();
      else if (messages.length > 0) {
        accept.all(messages);
        settleFirst(messages.length, true);
      }
    } catch (thrown) {
      refusing = true;
      cancelRetry = clock.after(retryMs, flush);
      onHolding(messageOf(thrown));
      return;
    }
    if (refusing) {
      refusing = false;
      onHolding(undefined);
    }
    onEmpty();
  };

  const storeEach = (): void => {
    let stored = 0;
    try {
      for (; stored < messages.length; stored++) accept(messages[stored] as InboundMessage);
    } finally {
      settleFirst(stored, true);
    }
  };

  const settleFirst = (count: number, stored: boolean): void => {
    const settled = tickets.slice(0, count);
    messages = messages.slice(count);
    tickets = tickets.slice(count);
    for (const ticket of settled) settle(ticket, stored);
  };

  const dropStale = (): void => {
    if (!tickets.some(stale)) return;
    const gone = tickets.filter(stale);
    messages = messages.filter((_, at) => !stale(tickets[at] as Ticket));
    tickets = tickets.filter((ticket) => !stale(ticket));
    for (const ticket of gone) settle(ticket, false);
  };

  return {
    offer,
    /** The store refuses; whoever reads more from the network now only fills the memory. */
    refusing: (): boolean => refusing,
    /** Tries once more to store what is there, then gives the rest up, unacknowledged. */
    close(): void {
      cancelRetry?.();
      flush();
      cancelRetry?.();
      settleFirst(messages.length, false);
      // What is offered later finds no one.
      refusing = true;
    },
  };
}
export type IntakeQueue<Ticket> = ReturnType<typeof createIntakeQueue<Ticket>>;
