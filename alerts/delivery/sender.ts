import type { Database } from 'better-sqlite3';
import { AppError, messageOf } from '../../shared/errors.ts';
import type { Mailer } from '../../shared/ports.ts';
import { type Cancel, type Clock, hourMs, minuteMs } from '../../shared/time.ts';
import { createOutbox, type OutboxRow } from './outbox.ts';

/** Waits after the first, second and third failed try; an alarm cannot wait for SMTP's own half hour. */
export const retryDelaysMs = [5_000, 30_000, 120_000];
/** From then on, while the mail server may come back. */
export const slowRetryMs = 5 * minuteMs;
/** A message older than this has nothing new to say; it is given up, and the wall says so. */
export const giveUpAfterMs = 12 * hourMs;
const atOnce = 4;

/** How delivery stands, for the health page and the alarm about delivery itself. */
export interface DeliveryState {
  state: 'ok' | 'waiting' | 'failed';
  text: string;
  waiting: number;
  /** Messages given up since the last one that went out. */
  failed: number;
}

interface SenderNeeds {
  database: Database;
  mailer: Mailer;
  clock: Clock;
  onState: (state: DeliveryState) => void;
}

/**
 * Works the outbox: every message at least once to every person, the most urgent first, the same
 * Message-ID at every try. A temporary refusal is tried again, a permanent one given up at once.
 */
export function createSender({ database, mailer, clock, onState }: SenderNeeds) {
  const outbox = createOutbox(database);
  const inFlight = new Set<number>();
  /** Outcomes that could not be written yet; nothing is sent again before they are. */
  const unwritten = new Map<number, () => void>();
  let timer: Cancel = () => {};
  let running = false;
  let failed = 0;
  let lastReason = '';
  let idle = () => {};

  const report = () => {
    const { waiting, retrying, worst, trouble } = outbox.backlog();
    const reason = trouble ? ` Last to ${trouble.recipient}: ${trouble.lastError}` : '';
    if (retrying > 0) {
      const state = failed > 0 || (worst ?? 0) > retryDelaysMs.length ? 'failed' : 'waiting';
      onState({ state, text: `Messages not delivered yet: ${retrying}.${reason}`, waiting, failed });
    } else if (failed > 0) {
      onState({ state: 'failed', text: `Messages given up: ${failed}. ${lastReason}`, waiting, failed });
    } else {
      const text = waiting === 0 ? 'All messages are out.' : `Messages on their way: ${waiting}.`;
      onState({ state: 'ok', text, waiting, failed });
    }
  };

  const record = (id: number, write: () => void) => {
    unwritten.set(id, write);
    flush();
  };
  const flush = () => {
    for (const [id, write] of unwritten) {
      try {
        write();
        unwritten.delete(id);
      } catch {
        // The disk may be full: the outcome is kept here, and the row is not sent again meanwhile.
      }
    }
  };

  const conclude = (row: OutboxRow, thrown: unknown) => {
    const now = clock.now();
    const details = thrown instanceof AppError ? thrown.details : {};
    const reason = messageOf(thrown);
    if (details.withheld) return outbox.markDone(row.id, 'withheld', now, reason);
    if (details.permanent || now - row.queuedAt >= giveUpAfterMs) {
      failed += 1;
      lastReason = reason;
      return outbox.markDone(row.id, 'failed', now, reason);
    }
    return outbox.markLater(row.id, now + (retryDelaysMs[row.attempts] ?? slowRetryMs), reason);
  };

  const attempt = async (row: OutboxRow) => {
    inFlight.add(row.id);
    try {
      await mailer.send(row.message);
      failed = 0;
      record(row.id, () => outbox.markDone(row.id, 'sent', clock.now(), null));
    } catch (thrown) {
      record(row.id, () => conclude(row, thrown));
    } finally {
      inFlight.delete(row.id);
      pump();
    }
  };

  const pump = () => {
    timer();
    if (!running) {
      if (inFlight.size === 0) idle();
      return;
    }
    flush();
    const now = clock.now();
    const free = atOnce - inFlight.size;
    const due = outbox
      .due(now, atOnce + inFlight.size + unwritten.size)
      .filter((row) => !inFlight.has(row.id) && !unwritten.has(row.id))
      .slice(0, free);
    for (const row of due) void attempt(row);
    report();
    const next = outbox.nextAt();
    if (unwritten.size > 0) timer = clock.after(retryDelaysMs[0]!, pump);
    else if (next !== null && next > now) timer = clock.after(next - now, pump);
  };

  return {
    start() {
      running = true;
      pump();
    },
    /** There is something new in the outbox. */
    wake: () => {
      if (running) pump();
    },
    /** Stops after the messages that are being handed over right now; resolves when none is. */
    async stop(): Promise<void> {
      running = false;
      timer();
      if (inFlight.size > 0)
        await new Promise<void>((resolve) => {
          idle = resolve;
        });
    },
  };
}
export type Sender = ReturnType<typeof createSender>;
