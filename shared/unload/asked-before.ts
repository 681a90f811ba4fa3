import { hourMs, minuteMs } from '../time.ts';
import type { Recognised } from './recognise.ts';

/** A curve is asked about once: what began so near to a load or a question is no other. */
const sameMs = 4 * hourMs;
/** But a clear load is another than one that might have been a weak cooler, from so far apart on. */
const clearMs = 30 * minuteMs;

/** Whether what was found has not been asked about, in the same room, nor declared. */
export const isNews = (
  found: Pick<Recognised, 'at' | 'orStopped'>,
  known: readonly { at: number; orStopped?: boolean | undefined }[],
): boolean =>
  known.every(({ at, orStopped }) => {
    const apartMs = Math.abs(at - found.at);
    return apartMs >= sameMs || (orStopped === true && !found.orStopped && apartMs >= clearMs);
  });
