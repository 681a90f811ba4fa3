import { messageOf } from '../../shared/errors.ts';
import type { Farm } from '../../shared/farm/farm.ts';
import type { Transport } from '../../shared/ports.ts';
import { type Cancel, type Clock, type EpochMs, minuteMs } from '../../shared/time.ts';
import { guardedRequest } from './guarded-request.ts';

/** How far each link of the chain has come; counts that only grow. */
export interface ChainProgress {
  /** Readings stored. */
  intake: number;
  /** Rounds in which alarms were evaluated. */
  evaluation: number;
  /** Rounds through the outbox. */
  outbox: number;
}

export interface HeartbeatNeeds {
  clock: Clock;
  farm: Farm;
  transport: Pick<Transport, 'publish'>;
  progress: () => ChainProgress;
  /** Messages queued by then that are not out: an outbox that is worked in vain has not advanced. */
  overdue: (queuedBy: EpochMs) => number;
  /** How the sign of life stands, for the health page. */
  onState: (state: 'ok' | 'waiting' | 'failed', text: string) => void;
}

/** What stood still since the last beat; empty when the whole chain advanced. */
export function stoodStill(before: ChainProgress, now: ChainProgress, overdue: number): string[] {
  const still: string[] = [];
  if (now.intake <= before.intake) still.push('no reading was stored');
  if (now.evaluation <= before.evaluation) still.push('no alarm was evaluated');
  if (now.outbox <= before.outbox) still.push('the outbox was not worked');
  else if (overdue > 0) still.push(`${overdue} messages are not out`);
  return still;
}

/**
 * A ping to somebody outside, only when the whole chain from reading to message has advanced since the last
 * one. Whoever gets it raises the alarm when it stays away: what no program can tell of itself.
 */
export function createHeartbeat(needs: HeartbeatNeeds) {
  const { clock, transport, progress, overdue, onState } = needs;
  let farm = needs.farm;
  let cancel: Cancel = () => {};
  let before = progress();
  let lastAt = clock.now();

  const send = async (): Promise<void> => {
    const { heartbeat, privateHosts, site } = farm.file;
    if (heartbeat?.url !== undefined) {
      const status = await guardedRequest(
        { url: heartbeat.url, method: 'POST', body: '', privateHosts },
        clock,
      );
      if (status < 200 || status > 299) throw new Error(`it answered ${status}`);
    } else if (heartbeat?.topic !== undefined)
      await transport.publish(heartbeat.topic, JSON.stringify({ site: site.id, at: clock.now() }));
  };

  const beat = async (): Promise<void> => {
    try {
      const now = progress();
      const still = stoodStill(before, now, overdue(lastAt));
      before = now;
      lastAt = clock.now();
      if (still.length > 0) return onState('failed', `No sign of life sent: ${still.join(', ')}.`);
      await send();
      onState('ok', 'Readings, alarms and messages all advance; the sign of life was sent.');
    } catch (thrown) {
      onState('failed', `The sign of life did not get out: ${messageOf(thrown)}`);
    }
  };

  const plan = () => {
    cancel();
    const { heartbeat } = farm.file;
    cancel =
      heartbeat === undefined ? () => {} : clock.every(heartbeat.everyMin * minuteMs, () => void beat());
  };

  return {
    start(): void {
      before = progress();
      lastAt = clock.now();
      plan();
    },
    setFarm(next: Farm): void {
      farm = next;
      plan();
    },
    stop: (): void => cancel(),
  };
}
