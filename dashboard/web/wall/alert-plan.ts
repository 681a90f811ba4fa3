import type { AlarmView, Priority } from '../../../shared/alarms.ts';
import { minuteMs, secondMs } from '../../../shared/time.ts';

/** How an alarm sounds: so many pulses, again after so long until somebody acknowledges. */
export interface Tune {
  pulses: number;
  pitchHz: number;
  everyMs: number;
  /** What is to be done is said again after so long. */
  sayEveryMs: number;
}

/** The more urgent, the more pulses, the higher and the more often; told apart without seeing the screen. */
export const tuneOf: Record<Priority, Tune> = {
  1: { pulses: 3, pitchHz: 880, everyMs: 5 * secondMs, sayEveryMs: 30 * secondMs },
  2: { pulses: 2, pitchHz: 660, everyMs: 15 * secondMs, sayEveryMs: 2 * minuteMs },
  3: { pulses: 1, pitchHz: 520, everyMs: minuteMs, sayEveryMs: 10 * minuteMs },
};

/** What was last sounded and said. */
export interface Alerted {
  /** Alarm and the time of its ring, so that one that rings again is said again. */
  key: string | null;
  soundedAt: number;
  saidAt: number;
}
export const silent: Alerted = { key: null, soundedAt: 0, saidAt: 0 };

/**
 * What is due now for the most urgent alarm that rings, and what is remembered after it. The clock may have
 * been stepped back: what was done in the future is done again.
 */
export function alertStep(
  before: Alerted,
  ringing: Pick<AlarmView, 'id' | 'since' | 'priority'> | undefined,
  now: number,
): { after: Alerted; sound: boolean; say: boolean } {
  if (ringing === undefined) return { after: silent, sound: false, say: false };
  const key = `${ringing.id} ${ringing.since}`;
  const isNew = key !== before.key;
  const { everyMs, sayEveryMs } = tuneOf[ringing.priority];
  const due = (last: number, every: number) => isNew || now - last >= every || now < last;
  const sound = due(before.soundedAt, everyMs);
  const say = due(before.saidAt, sayEveryMs);
  return {
    after: { key, soundedAt: sound ? now : before.soundedAt, saidAt: say ? now : before.saidAt },
    sound,
    say,
  };
}
