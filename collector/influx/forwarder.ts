import type { Database } from 'better-sqlite3';
import type { PartHealth } from '../../shared/live.ts';
import { type Cancel, type Clock, minuteMs, secondMs } from '../../shared/time.ts';
import type { Follower } from '../store/follower.ts';
import type { InfluxConnection } from './connection.ts';
import { deliver } from './deliver.ts';
import { lineOf } from './line.ts';

const linesAtOnce = 5_000;
const lookEveryMs = secondMs;
const longestWaitMs = minuteMs;
/** Counting a backlog stops here; beyond it the text says 'more than'. */
const countedMost = 100_000;

export interface ForwarderParts {
  /** Site id, the tag that tells sites apart in a shared database. */
  site: string;
  database: Database;
  follower: Follower;
  connection: InfluxConnection;
  clock: Clock;
  onHealth?: (health: PartHealth) => void;
}

/**
 * Passes the readings log on to InfluxDB: at least once, in order within a series, and for ever, because
 * the cursor moves only when a portion was taken. Intake and alarms never wait for it.
 */
export function createForwarder({ site, database, follower, connection, clock, onHealth }: ForwarderParts) {
  const keep = database.prepare('INSERT INTO influx_set_aside VALUES (?, ?, ?) ON CONFLICT DO NOTHING');
  const countKept = database.prepare<[], number>('SELECT count(*) FROM influx_set_aside').pluck();
  let health: PartHealth = { part: 'influx', state: 'waiting', text: 'not started', since: clock.now() };
  let failures = 0;
  let forwarded = 0;
  let running = false;
  let cancelNext: Cancel = () => {};
  let round: Promise<void> = Promise.resolve();

  function report(state: PartHealth['state'], text: string): void {
    if (health.state === state && health.text === text) return;
    health = { part: 'influx', state, text, since: health.state === state ? health.since : clock.now() };
    onHealth?.(health);
  }
  const backlog = (): string => {
    const waiting = follower.waiting(countedMost);
    return waiting >= countedMost ? `more than ${countedMost} readings wait` : `${waiting} readings wait`;
  };

  /** One portion. Returns how long to wait before the next. */
  async function pass(): Promise<number> {
    const portion = follower.next(linesAtOnce);
    if (portion === undefined) {
      const aside = countKept.get()!;
      report(
        'ok',
        `${connection.where} has every reading${aside > 0 ? `, but for ${aside} that it refused` : ''}`,
      );
      return lookEveryMs;
    }
    const delivery = await deliver(
      connection,
      portion.readings.map((reading) => lineOf(site, reading)),
    );
    if (!delivery.done) {
      failures += 1;
      report('failed', `${delivery.reason}; ${backlog()}, nothing is lost`);
      return Math.min(Math.max(secondMs * 2 ** (failures - 1), delivery.retryAfterMs), longestWaitMs);
    }
    follower.confirm(portion, () => {
      for (const { line, reason } of delivery.setAside) keep.run(line, reason, clock.now());
    });
    failures = 0;
    forwarded += portion.readings.length - delivery.setAside.length;
    if (portion.readings.length < linesAtOnce) return lookEveryMs;
    report('waiting', `catching up: ${backlog()}`);
    return 0;
  }

  async function step(): Promise<void> {
    let waitMs = longestWaitMs;
    try {
      waitMs = await pass();
    } catch (thrown) {
      report('failed', `The cursor cannot be moved (${(thrown as Error).message}); tried again in a minute`);
    }
    if (running) cancelNext = clock.after(waitMs, begin);
  }
  function begin(): void {
    round = step();
  }

  return {
    start(): void {
      if (running) return;
      running = true;
      begin();
    },
    /** Ends after the request under way; what was not confirmed is passed on at the next start. */
    async stop(): Promise<void> {
      running = false;
      cancelNext();
      await round;
    },
    health: (): PartHealth => health,
    /** Readings passed on since the start. */
    forwarded: (): number => forwarded,
  };
}
