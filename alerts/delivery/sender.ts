import type { Database } from 'better-sqlite3';
import { AppError, messageOf } from '../../shared/errors.ts';
import { type Cancel, type Clock, type EpochMs, hourMs, minuteMs, secondMs } from '../../shared/time.ts';
import { createOutbox, type OutboxRow } from './outbox.ts';
import { createOutboxViews } from './outbox-views.ts';

/** Waits after the first, second and third failed try; an alarm cannot wait for SMTP's own half hour. */
const retryDelaysMs = [5_000, 30_000, 120_000];
/** From then on, while the receiver may come back. */
const slowRetryMs = 5 * minuteMs;
/** A message older than this has nothing new to say; it is given up, and the wall says so. */
const giveUpAfterMs = 12 * hourMs;
/** A look at the outbox at least this often, so that its standing still is noticed. */
const usualRoundMs = 30 * secondMs;
/** Messages under way at once, for each channel: one that hangs must not hold up the others. */
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
  clock: Clock;
  /** Hands one message over; throws AppError 'delivery' with details as carriers give them. */
  carry: (row: OutboxRow) => Promise<void>;
  /** Gives a message that does not get through by its channel to another, or tells others; in a transaction. */
  findAnotherWay: (row: OutboxRow) => void;
  /** What is to be done before each round: escalations, messages that were held. Throws what the database throws. */
  prepare: () => void;
  /** When `prepare` has something to do next. */
  preparesAt: () => EpochMs | null;
  onState: (state: DeliveryState) => void;
  /** Longest time between two rounds [ms]; more where a clock is turned fast to make history. */
  roundMs?: number | undefined;
}

/**
 * Works the outbox: every message at least once to every person, the most urgent first, the same
 * Message-ID at every try. A temporary refusal is tried again, a permanent one given up at once; either
 * way another channel or person is told instead.
 */
export function createSender(needs: SenderNeeds) {
  const { database, clock, carry, findAnotherWay, prepare, preparesAt, onState } = needs;
  const { roundMs = usualRoundMs } = needs;
  const outbox = createOutbox(database);
  const views = createOutboxViews(database);
  const inFlight = new Map<number, string>();
  /** Outcomes that could not be written yet; nothing is sent again before they are. */
  const unwritten = new Map<number, () => void>();
  let timer: Cancel = () => {};
  let running = false;
  let failed = 0;
  let lastReason = '';
  let rounds = 0;
  let idle = () => {};

  const report = () => {
    const { waiting, retrying, worst, trouble } = views.backlog();
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
    unwritten.set(id, () => database.transaction(write).immediate());
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

  const otherWay = (row: OutboxRow) => {
    if (row.failedOver) return;
    outbox.markFailedOver(row);
    findAnotherWay(row);
  };

  const conclude = (row: OutboxRow, thrown: unknown) => {
    const now = clock.now();
    const details = thrown instanceof AppError ? thrown.details : {};
    const reason = messageOf(thrown);
    if (details.withheld) return outbox.markDone(row, 'withheld', now, reason);
    if (details.permanent || now - row.queuedAt >= giveUpAfterMs) {
      failed += 1;
      lastReason = reason;
      outbox.markDone(row, 'failed', now, reason);
      return otherWay(row);
    }
    outbox.markLater(row, now + (retryDelaysMs[row.attempts] ?? slowRetryMs), reason);
    if (details.failOver || row.attempts >= retryDelaysMs.length) otherWay(row);
  };

  const attempt = async (row: OutboxRow) => {
    inFlight.set(row.id, row.channel);
    try {
      await carry(row);
      failed = 0;
      record(row.id, () => outbox.markDone(row, 'sent', clock.now(), null));
    } catch (thrown) {
      record(row.id, () => conclude(row, thrown));
    } finally {
      inFlight.delete(row.id);
      pump();
    }
  };

  /** Starts what may go. Returns whether more could go now than there is room for. */
  const startDue = (now: EpochMs): boolean => {
    let more = false;
    for (const channel of outbox.channels()) {
      const busy = [...inFlight.values()].filter((used) => used === channel).length;
      const due = outbox
        .due(channel, now, atOnce + busy + unwritten.size + 1)
        .filter(({ id }) => !inFlight.has(id) && !unwritten.has(id));
      more ||= due.length > atOnce - busy;
      for (const row of due.slice(0, Math.max(0, atOnce - busy))) void attempt(row);
    }
    return more;
  };

  const pump = () => {
    timer();
    if (!running) {
      if (inFlight.size === 0) idle();
      return;
    }
    const now = clock.now();
    let waitMs = roundMs;
    try {
      flush();
      prepare();
      for (const row of outbox.stuck()) database.transaction(() => otherWay(row)).immediate();
      const more = startDue(now);
      report();
      rounds++;
      // With more to go than there is room for, the next to come back starts the next round.
      const next = more ? null : earliest(outbox.nextAt(), preparesAt());
      if (unwritten.size > 0) waitMs = retryDelaysMs[0]!;
      else if (next !== null && next > now) waitMs = Math.min(roundMs, next - now);
    } catch {
      // The database could not be read or written; its own alarm says so. Messages wait in it.
      waitMs = retryDelaysMs[0]!;
    }
    timer = clock.after(waitMs, pump);
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
    /** Rounds through the outbox so far; one that stands still is not being worked. */
    rounds: () => rounds,
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

const earliest = (...times: (EpochMs | null)[]): EpochMs | null => {
  const known = times.filter((t) => t !== null);
  return known.length === 0 ? null : Math.min(...known);
};
