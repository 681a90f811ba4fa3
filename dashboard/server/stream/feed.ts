import type { StreamEvent } from '../../../shared/api/stream.ts';
import type { SiteDesk } from '../../../shared/ports.ts';
import type { Cancel } from '../../../shared/time.ts';

/** Changes kept for streams that break and come back; older ones are answered with the whole state. */
const keptEvents = 500;
const keptCharacters = 1_000_000;

interface Frame {
  seq: number;
  text: string;
}

/** One event as it goes over the wire (HTML Living Standard, section 9.2). */
export const frameText = (event: StreamEvent, data: unknown, id?: string): string =>
  `${id === undefined ? '' : `id: ${id}\n`}event: ${event}\ndata: ${JSON.stringify(data)}\n\n`;

/**
 * The events of one site, made into text once for all its streams and numbered, so that a stream that
 * broke can go on where it was. `name` sets apart the numbers of this process from those of the one before.
 */
export function createFeed({ desk, name }: { desk: () => SiteDesk | undefined; name: string }) {
  const listeners = new Set<(text: string) => void>();
  let current: SiteDesk | undefined;
  let detach: Cancel = () => {};
  let life = 0;
  let seq = 0;
  let kept: Frame[] = [];
  let keptLength = 0;

  const idOf = (number: number): string => `${name}.${life}.${number}`;

  const keep = (text: string) => {
    kept.push({ seq, text });
    keptLength += text.length;
    while (kept.length > keptEvents || (keptLength > keptCharacters && kept.length > 0))
      keptLength -= kept.shift()!.text.length;
  };

  /** What a stream needs that knows nothing: the whole state, or that there is none. */
  const whole = (): string =>
    current === undefined ? frameText('absent', {}) : frameText('state', current.live(), idOf(seq));

  /** Follows the desk that there is now: a training run may have started or gone. */
  const refresh = () => {
    const next = desk();
    if (next === current && life > 0) return;
    detach();
    current = next;
    life += 1;
    seq = 0;
    kept = [];
    keptLength = 0;
    detach =
      next?.onChange((change) => {
        seq += 1;
        const text = frameText('change', change, idOf(seq));
        keep(text);
        for (const listener of listeners) listener(text);
      }) ?? (() => {});
    if (listeners.size === 0) return;
    const text = whole();
    for (const listener of listeners) listener(text);
  };

  /** What was missed since an event, or undefined when that is not known any more. */
  const missedSince = (lastId: string): string | undefined => {
    const [madeBy, born, number] = lastId.split('.');
    if (madeBy !== name || born !== String(life) || !/^\d+$/.test(number ?? '')) return undefined;
    const last = Number(number);
    const oldest = kept[0]?.seq ?? seq + 1;
    if (last > seq || last < oldest - 1) return undefined;
    return kept
      .filter((frame) => frame.seq > last)
      .map(({ text }) => text)
      .join('');
  };

  refresh();
  return {
    refresh,
    whole,
    /** First text of a stream that last saw the event `lastId`. */
    opening: (lastId: string | undefined): string =>
      (lastId === undefined ? undefined : missedSince(lastId)) ?? whole(),
    listen(listener: (text: string) => void): Cancel {
      listeners.add(listener);
      return () => listeners.delete(listener);
    },
    isIdle: () => listeners.size === 0,
    close() {
      detach();
      listeners.clear();
    },
  };
}

export type Feed = ReturnType<typeof createFeed>;
