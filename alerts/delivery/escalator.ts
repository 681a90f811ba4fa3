import type { Database } from 'better-sqlite3';
import type { Escalation } from '../../shared/alarm-detail.ts';
import type { AlarmState } from '../../shared/alarms.ts';
import type { Farm } from '../../shared/farm/farm.ts';
import type { Clock } from '../../shared/time.ts';
import { createEscalations } from './escalations.ts';
import type { Notifier } from './notifier.ts';
import { routeSteps } from './route-plan.ts';

export interface EscalatorNeeds {
  database: Database;
  clock: Clock;
  farm: () => Farm;
  notifier: Notifier;
  /** The raise of an alarm that people were told of, with its words and state of now; or null. */
  raise: (alarm: string) => { thread: string; title: string; state: AlarmState } | null;
}

const pressing: ReadonlySet<AlarmState> = new Set(['unacknowledged', 'latched-unacknowledged']);

/**
 * Tells the next on the route of alarms that nobody acknowledged in time. It ends with the route: nothing is
 * sent for ever, and the wall shows an alarm that everybody was told of and nobody took.
 */
export function createEscalator({ database, clock, farm, notifier, raise }: EscalatorNeeds) {
  const escalations = createEscalations(database);
  /** The raise that waits for a person while it matters: what is over wakes nobody. */
  const unanswered = (alarm: string) => {
    const standing = raise(alarm);
    return standing !== null && pressing.has(standing.state) ? standing : null;
  };

  return {
    /** Tells whom it is time to tell. Returns whether messages were queued. */
    run(): boolean {
      const now = clock.now();
      let queued = false;
      for (const { alarm, thread, step, tidings } of escalations.due(now)) {
        const waits = unanswered(alarm);
        database
          .transaction(() => {
            if (waits === null || waits.thread !== thread) return escalations.end(alarm);
            const minutes = Math.max(1, Math.round((now - tidings.t) / 60_000));
            const why = `It rang ${minutes} min ago, and nobody has acknowledged it.`;
            const next = notifier.escalate(farm(), { ...tidings, title: waits.title }, step, why);
            queued ||= next.anybody;
            return escalations.moveTo(alarm, next.step, next.anybody ? next.dueAt : null);
          })
          .immediate();
      }
      return queued;
    },
    nextAt: escalations.nextAt,
    hurry: escalations.hurry,
    /** Where an alarm stands on its route, or null when it was acknowledged or never told. */
    of(alarm: string): Escalation | null {
      const row = escalations.of(alarm);
      if (row === null || unanswered(alarm)?.thread !== row.thread) return null;
      const steps = routeSteps(farm(), row.tidings.route);
      const next = row.dueAt === null ? [] : (steps[row.step + 1]?.people ?? []);
      return {
        step: Math.min(row.step + 1, steps.length),
        steps: steps.length,
        dueAt: row.dueAt,
        next: next.map(({ id }) => id),
      };
    },
  };
}
