import type { LiveChange, LiveState } from '../../../shared/live.ts';
import type { Cancel, Clock } from '../../../shared/time.ts';
import { type Contact, type ContactEvent, contactAfter, startOfContact } from './contact.ts';

/** The part of EventSource that is used, so that tests can play it. */
export interface Source {
  addEventListener(type: string, listener: (event: { data?: unknown }) => void): void;
  close(): void;
}

export interface StreamListener {
  state(state: LiveState): void;
  change(change: LiveChange): void;
  /** There is no such site at present: no training run is open. */
  absent(): void;
  contact(contact: Contact): void;
}

interface Deps {
  clock: Clock;
  open: (url: string) => Source;
  url: string;
  listener: StreamListener;
}

/**
 * Keeps one stream of a site open: `state` first, then `change` slices, `heartbeat` between.
 * Opens anew by itself for as long as it is wanted; a new stream begins with the whole state again,
 * so nothing that was missed can stay missing.
 */
export function followSite({ clock, open, url, listener }: Deps): Cancel {
  let contact = startOfContact(clock.now());
  let source: Source | null = null;
  let cancelReopen: Cancel | null = null;

  const step = (event: ContactEvent) => {
    const before = contact;
    const { contact: after, reopenInMs } = contactAfter(before, event);
    contact = after;
    if (after !== before) listener.contact(after);
    if (reopenInMs === null) return;
    closeSource();
    cancelReopen?.();
    cancelReopen = clock.after(reopenInMs, openSource);
  };

  const closeSource = () => {
    source?.close();
    source = null;
  };

  const openSource = () => {
    const fresh = open(url);
    source = fresh;
    const hear = <T>(type: string, take: (data: T) => void) =>
      fresh.addEventListener(type, ({ data }) => {
        if (source !== fresh) return;
        step({ kind: 'heard', t: clock.now() });
        take((typeof data === 'string' && data !== '' ? JSON.parse(data) : undefined) as T);
      });
    hear<LiveState>('state', (state) => listener.state(state));
    hear<LiveChange>('change', (change) => listener.change(change));
    hear('absent', () => listener.absent());
    hear('heartbeat', () => {});
    fresh.addEventListener('error', () => {
      if (source === fresh) step({ kind: 'broke', t: clock.now() });
    });
  };

  openSource();
  const cancelTick = clock.every(500, () => step({ kind: 'tick', t: clock.now() }));
  return () => {
    cancelTick();
    cancelReopen?.();
    closeSource();
  };
}
