import { describe, expect, it } from 'vitest';
import type { Contact } from '../../../../../dashboard/web/live/contact.ts';
import { followSite, type Source } from '../../../../../dashboard/web/live/stream.ts';
import type { LiveChange, LiveState } from '../../../../../shared/live.ts';
import { createManualClock } from '../../../../../shared/manual-clock.ts';

type Listener = (event: { data?: unknown }) => void;

/** A stream that the test speaks on. */
function playedSource() {
  const listeners = new Map<string, Listener[]>();
  let closed = false;
  const source: Source = {
    addEventListener: (type, listener) =>
      void listeners.set(type, [...(listeners.get(type) ?? []), listener]),
    close: () => {
      closed = true;
    },
  };
  return {
    source,
    say: (type: string, data?: unknown) =>
      listeners.get(type)?.forEach((listener) => {
        listener(data === undefined ? {} : { data: JSON.stringify(data) });
      }),
    get closed() {
      return closed;
    },
  };
}

function follow() {
  const clock = createManualClock(0);
  const opened: ReturnType<typeof playedSource>[] = [];
  const states: LiveState[] = [];
  const changes: LiveChange[] = [];
  const contacts: Contact['phase'][] = [];
  let absences = 0;
  const leave = followSite({
    clock,
    url: '/api/sites/farm/stream',
    open: () => {
      const played = playedSource();
      opened.push(played);
      return played.source;
    },
    listener: {
      state: (state) => states.push(state),
      change: (change) => changes.push(change),
      absent: () => {
        absences += 1;
      },
      contact: ({ phase }) => {
        if (contacts.at(-1) !== phase) contacts.push(phase);
      },
    },
  });
  return { clock, opened, states, changes, contacts, leave, absences: () => absences };
}

describe('following a site', () => {
  it('hands on the state and its changes', () => {
    const { opened, states, changes } = follow();
    opened[0]!.say('state', { now: 1 });
    opened[0]!.say('change', { now: 2 });
    opened[0]!.say('heartbeat');
    expect([states, changes]).toEqual([[{ now: 1 }], [{ now: 2 }]]);
  });

  it('says when there is no such site, and takes the state when there is', () => {
    const { opened, states, absences } = follow();
    opened[0]!.say('absent', {});
    expect(absences()).toBe(1);
    opened[0]!.say('state', { now: 5 });
    expect(states).toEqual([{ now: 5 }]);
  });

  it('reconnects by itself after a break and begins with a whole state', () => {
    const { clock, opened, states } = follow();
    opened[0]!.say('state', { now: 1 });
    opened[0]!.say('error');
    expect(opened[0]!.closed).toBe(true);
    clock.advanceBy(500);
    expect(opened).toHaveLength(2);
    opened[1]!.say('state', { now: 3 });
    expect(states.at(-1)).toEqual({ now: 3 });
  });

  it('says that contact is lost, and that it is back', () => {
    const { clock, opened, contacts } = follow();
    opened[0]!.say('heartbeat');
    clock.advanceBy(10_000);
    expect(contacts).toEqual(['live', 'lost']);
    opened.at(-1)!.say('heartbeat');
    expect(contacts).toEqual(['live', 'lost', 'live']);
  });

  it('no longer listens to a stream it has closed', () => {
    const { clock, opened, states } = follow();
    opened[0]!.say('error');
    clock.advanceBy(500);
    opened[0]!.say('state', { now: 9 });
    expect(states).toEqual([]);
  });

  it('leaves nothing running when it is left', () => {
    const { clock, opened, leave } = follow();
    opened[0]!.say('error');
    leave();
    expect(clock.pending).toBe(0);
    clock.advanceBy(60_000);
    expect(opened).toHaveLength(1);
  });
});
