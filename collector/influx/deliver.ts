import type { InfluxConnection } from './connection.ts';

export interface SetAside {
  line: string;
  reason: string;
}
export type Delivery =
  | { done: true; setAside: SetAside[] }
  | { done: false; reason: string; retryAfterMs: number };

/**
 * Writes lines, halving what is refused until the bad ones stand alone. Good lines that are sent again in
 * the course of it overwrite themselves.
 */
export async function deliver(
  connection: Pick<InfluxConnection, 'write'>,
  lines: readonly string[],
): Promise<Delivery> {
  const setAside: SetAside[] = [];
  const waiting: (readonly string[])[] = [lines];
  for (let part = waiting.pop(); part !== undefined; part = waiting.pop()) {
    const outcome = await connection.write(part);
    if (outcome.kind === 'taken') continue;
    if (outcome.kind === 'later') return { done: false, ...outcome };
    const middle = part.length >> 1;
    if (middle > 0) waiting.push(part.slice(middle), part.slice(0, middle));
    else setAside.push({ line: part[0]!, reason: 'reason' in outcome ? outcome.reason : 'too large' });
  }
  return { done: true, setAside };
}
