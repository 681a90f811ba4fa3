import type { EpochMs } from '../../../shared/time.ts';

/** Whether the server is being heard. Instants are the browser's own. */
export interface Contact {
  phase: 'starting' | 'live' | 'lost';
  /** Last sign of life, or when trying began. */
  lastHeardAt: EpochMs;
  /** When the stream was last opened, or is to be. */
  openedAt: EpochMs;
  /** Breaks since the last sign of life. */
  breaks: number;
}

export type ContactEvent =
  | { kind: 'heard'; t: EpochMs }
  /** The stream broke or was refused. */
  | { kind: 'broke'; t: EpochMs }
  /** Comes each half second. */
  | { kind: 'tick'; t: EpochMs };

export interface ContactStep {
  contact: Contact;
  /** Open the stream anew after this while; null: leave it. */
  reopenInMs: number | null;
}

/** The server speaks at least each 4 s: two words missed and contact is lost, well inside 10 s. */
const patienceMs = 8_500;
const retryMs = [500, 1_000, 2_000, 3_000] as const;

export const startOfContact = (t: EpochMs): Contact => ({
  phase: 'starting',
  lastHeardAt: t,
  openedAt: t,
  breaks: 0,
});

/** The state machine of contact: a short break is mended quietly, a longer one is said aloud. */
export function contactAfter(contact: Contact, event: ContactEvent): ContactStep {
  const { t } = event;
  if (event.kind === 'heard')
    return { contact: { ...contact, phase: 'live', lastHeardAt: t, breaks: 0 }, reopenInMs: null };

  const lost = contact.phase === 'lost' || t - contact.lastHeardAt > patienceMs;
  const after: Contact = lost && contact.phase !== 'lost' ? { ...contact, phase: 'lost' } : contact;
  if (event.kind === 'broke') {
    const wait = retryMs[Math.min(contact.breaks, retryMs.length - 1)]!;
    return { contact: { ...after, openedAt: t + wait, breaks: contact.breaks + 1 }, reopenInMs: wait };
  }
  // A stream may also hang without breaking; then only a fresh one helps.
  const hung = lost && t - contact.openedAt > patienceMs;
  return hung ? { contact: { ...after, openedAt: t }, reopenInMs: 0 } : { contact: after, reopenInMs: null };
}
