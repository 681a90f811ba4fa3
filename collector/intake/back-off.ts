import { secondMs } from '../../shared/time.ts';

const firstMs = secondMs / 2;
const longestMs = 30 * secondMs;

/**
 * Wait before the n-th try again (from 0): doubling from half a second to half a minute, and up to a
 * quarter shorter or longer by who waits, so that many sites do not return to one broker in step.
 */
export function backOffMs(attempt: number, who: string): number {
  const base = Math.min(longestMs, firstMs * 2 ** Math.min(attempt, 10));
  return Math.round(base * (0.75 + 0.5 * shareOf(`${who}:${attempt}`)));
}

/** FNV-1a of the text as a share in [0, 1). */
function shareOf(text: string): number {
  let hash = 0x811c9dc5;
  for (let at = 0; at < text.length; at++) hash = Math.imul(hash ^ text.charCodeAt(at), 0x01000193);
  return (hash >>> 0) / 2 ** 32;
}
