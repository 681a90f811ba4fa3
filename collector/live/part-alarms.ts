import type { Priority } from '../../shared/alarms.ts';
import type { PartHealth } from '../../shared/live.ts';
import { type Cancel, type Clock, minuteMs } from '../../shared/time.ts';
import { type AdvisedPart, adviceFor, type PartAdvice } from './part-advice.ts';

interface PartAlarmNeeds {
  clock: Clock;
  /** Raises or ends the alarm about a part. */
  tell: (
    part: AdvisedPart,
    alarm: { abnormal: boolean; title: string; priority: Priority; advice: string },
  ) => void;
}

/** A part of the tool itself that fails, for as long as its advice allows, is an alarm like any other. */
export function createPartAlarms({ clock, tell }: PartAlarmNeeds) {
  /** Parts that are not well: since when by state, their newest words, and when they are told of. */
  const ill = new Map<AdvisedPart, { state: PartHealth['state']; text: string; cancel: Cancel | null }>();

  const raise = (part: AdvisedPart, text: string, abnormal = true) => {
    const { title, priority, advice } = adviceFor[part];
    tell(part, { abnormal, title: `${title}: ${text}`, priority, advice });
  };

  return {
    /** How a part is now; the same again changes nothing but its words. */
    report(part: AdvisedPart, state: PartHealth['state'], text: string): void {
      const { failedMin = 0, waitingMin }: PartAdvice = adviceFor[part];
      const afterMin = state === 'failed' ? failedMin : state === 'waiting' ? waitingMin : undefined;
      const known = ill.get(part);
      if (afterMin === undefined) {
        known?.cancel?.();
        ill.delete(part);
        raise(part, text, false);
      } else if (known?.state === state) {
        known.text = text;
        if (known.cancel === null) raise(part, text);
      } else if (known !== undefined && known.cancel === null) {
        // It failed before it waited, or the other way round: told of already, and not over.
        ill.set(part, { state, text, cancel: null });
        raise(part, text);
      } else {
        known?.cancel?.();
        const illness = { state, text, cancel: null as Cancel | null };
        ill.set(part, illness);
        if (afterMin === 0) raise(part, text);
        else
          illness.cancel = clock.after(afterMin * minuteMs, () => {
            illness.cancel = null;
            raise(part, illness.text);
          });
      }
    },
    close(): void {
      for (const { cancel } of ill.values()) cancel?.();
    },
  };
}
