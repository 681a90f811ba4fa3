import { z } from 'zod';
import { type AlarmState, alarmState } from '../shared/alarms.ts';
import { minuteMs } from '../shared/time.ts';

/** What of a definition decides how its alarm moves. */
export interface AlarmRule {
  /** Stays in view after the condition went, until a person resets it. */
  latching: boolean;
  /** An acknowledged alarm whose condition still holds rings again after this long; null: never. */
  reAlarmMs: number | null;
  /** The longest that a person may shelve it. */
  shelveCapMs: number;
  /** It spoke of what might come: over, it asks nobody to acknowledge it. Not together with latching. */
  endsItself?: boolean;
}

/** Three raises within this span are chatter; it ends when no raise has come for as long. */
const chatterSpanMs = minuteMs;
const chatterRaises = 3;

const liveState = alarmState.extract([
  'normal',
  'unacknowledged',
  'acknowledged',
  'returned-unacknowledged',
  'latched-unacknowledged',
  'latched-acknowledged',
]);

const shelving = z.object({
  until: z.number(),
  oneShot: z.boolean(),
  /** The condition has held at some time while shelved: its next end is the one shot. */
  held: z.boolean(),
});

/** All that an alarm remembers; plain data, so that it is stored as it is and comes back after a restart. */
export const alarmMemory = z.object({
  live: liveState,
  /** The condition holds now, delays and deadband served; kept current in every state. */
  holds: z.boolean(),
  /** When the condition that holds, or last held and is not dealt with, began. */
  raisedAt: z.number().nullable(),
  /** When the shown state was entered. */
  since: z.number(),
  acknowledgedAt: z.number().nullable(),
  /** The condition has held since the last reset; only a latching alarm minds. */
  tripped: z.boolean(),
  shelved: shelving.nullable(),
  /** Causes that suppress it by design; it is released when the last one goes. */
  suppressedBy: z.array(z.string()),
  outOfService: z.boolean(),
  /** Times of the newest raises, to see chatter. */
  raises: z.array(z.number()),
  chattering: z.boolean(),
});
export type AlarmMemory = z.infer<typeof alarmMemory>;

export const calmMemory = (t: number): AlarmMemory => ({
  live: 'normal',
  holds: false,
  raisedAt: null,
  since: t,
  acknowledgedAt: null,
  tripped: false,
  shelved: null,
  suppressedBy: [],
  outOfService: false,
  raises: [],
  chattering: false,
});

export type AlarmEvent = { t: number } & (
  | { type: 'condition'; holds: boolean; since: number }
  | { type: 'acknowledge' | 'reset' | 'unshelve' | 'take-out-of-service' | 'return-to-service' }
  | { type: 'shelve'; forMs: number; oneShot: boolean }
  | { type: 'suppress' | 'release'; by: string }
  /** The instant that `dueAt` named has come. */
  | { type: 'timer' }
  /** The clock was set back: what counts by it ends as long after this as it would have. */
  | { type: 'clock-set-back'; byMs: number }
  /** Memory came back without its shelving: better rung than forgotten. */
  | { type: 'shelving-lost' }
);

export type AlarmEffect =
  /** To the journal. `event` is a stable word; `from` and `to` are shown states and may be equal. */
  | { type: 'journal'; event: string; from: AlarmState; to: AlarmState }
  /** Tell people: it rings now. */
  | { type: 'annunciate'; because: 'raised' | 'raised-again' | 're-alarm' | 'back-in-view' }
  /** Tell people who were told: the condition is over. */
  | { type: 'returned' };

export interface Step {
  memory: AlarmMemory;
  effects: AlarmEffect[];
  /** Why the act was refused, in words; the memory is then unchanged. */
  refused: string | null;
}

/** The state that screens show: out of service over suppressed over shelved over the live state. */
export const shownState = (memory: AlarmMemory): AlarmState => {
  if (memory.outOfService) return 'out-of-service';
  if (memory.suppressedBy.length > 0) return 'suppressed';
  return memory.shelved ? 'shelved' : memory.live;
};

const isHeld = (memory: AlarmMemory) =>
  memory.outOfService || memory.suppressedBy.length > 0 || memory.shelved !== null;

/** States that are annunciated and wait for a person's acknowledgement. */
export const needsAcknowledgement = (state: AlarmState): boolean =>
  state === 'unacknowledged' || state === 'returned-unacknowledged' || state === 'latched-unacknowledged';

/** When this alarm next moves by the clock alone (end of shelving, re-alarm, end of chatter), or null. */
export function dueAt(rule: AlarmRule, memory: AlarmMemory): number | null {
  const due: number[] = [];
  if (memory.shelved) due.push(memory.shelved.until);
  if (memory.chattering) due.push(memory.raises[memory.raises.length - 1]! + chatterSpanMs);
  const waits = memory.live === 'acknowledged' && memory.holds && !isHeld(memory);
  if (waits && rule.reAlarmMs !== null && memory.acknowledgedAt !== null)
    due.push(memory.acknowledgedAt + rule.reAlarmMs);
  return due.length > 0 ? Math.min(...due) : null;
}

/**
 * One step of the alarm state machine after IEC 62682 (states A to I of the design notes).
 * Pure: the same memory and event give the same step. Deadband and delays are served before, by the
 * condition; what comes here is that the condition holds or does not.
 */
export function step(rule: AlarmRule, memory: AlarmMemory, event: AlarmEvent): Step {
  const held = isHeld(memory);
  switch (event.type) {
    case 'condition':
      return condition(rule, memory, event);
    case 'acknowledge':
      if (held)
        return refuse(memory, `it is ${words[shownState(memory)]}, so there is nothing to acknowledge`);
      return acknowledge(memory, event.t);
    case 'reset':
      return reset(memory, event.t);
    case 'shelve':
      return shelve(rule, memory, event);
    case 'unshelve':
      if (!memory.shelved) return refuse(memory, 'it is not shelved');
      return release(rule, memory, { ...memory, shelved: null }, event.t, 'unshelved');
    case 'suppress':
      if (memory.suppressedBy.includes(event.by)) return still(memory);
      return moved(
        memory,
        { ...memory, suppressedBy: [...memory.suppressedBy, event.by], chattering: false },
        event.t,
        'suppressed',
      );
    case 'release': {
      if (!memory.suppressedBy.includes(event.by)) return still(memory);
      const suppressedBy = memory.suppressedBy.filter((by) => by !== event.by);
      return release(rule, memory, { ...memory, suppressedBy }, event.t, 'released');
    }
    case 'take-out-of-service':
      if (memory.outOfService) return refuse(memory, 'it is out of service already');
      // Out of service has no end of its own, so a shelving that ran beside it would only confuse.
      return moved(
        memory,
        { ...memory, outOfService: true, shelved: null, chattering: false },
        event.t,
        'taken-out-of-service',
      );
    case 'return-to-service':
      if (!memory.outOfService) return refuse(memory, 'it is in service');
      return release(rule, memory, { ...memory, outOfService: false }, event.t, 'returned-to-service');
    case 'timer':
      return timer(rule, memory, event.t);
    case 'clock-set-back':
      return setBack(memory, event.byMs);
    case 'shelving-lost':
      return release(rule, memory, { ...memory, shelved: null }, event.t, 'shelving-lost');
  }
}

const words: Record<AlarmState, string> = {
  normal: 'normal',
  unacknowledged: 'unacknowledged',
  acknowledged: 'acknowledged',
  'returned-unacknowledged': 'back in limits and unacknowledged',
  'latched-unacknowledged': 'latched and unacknowledged',
  'latched-acknowledged': 'latched',
  shelved: 'shelved',
  suppressed: 'suppressed by design',
  'out-of-service': 'out of service',
};

const still = (memory: AlarmMemory): Step => ({ memory, effects: [], refused: null });
const refuse = (memory: AlarmMemory, refused: string): Step => ({ memory, effects: [], refused });

/** Journals the move from `before` to `after`; `since` follows the shown state. */
function moved(
  before: AlarmMemory,
  after: AlarmMemory,
  t: number,
  event: string,
  ...more: AlarmEffect[]
): Step {
  const from = shownState(before);
  const to = shownState(after);
  const memory = from === to ? after : { ...after, since: t };
  return { memory, effects: [{ type: 'journal', event, from, to }, ...more], refused: null };
}

function condition(
  rule: AlarmRule,
  memory: AlarmMemory,
  event: { holds: boolean; since: number; t: number },
): Step {
  if (event.holds === memory.holds) return still(memory);
  return event.holds ? raise(memory, event) : clear(rule, memory, event.t);
}

const chatterNote: AlarmEffect = {
  type: 'journal',
  event: 'chattering',
  from: 'unacknowledged',
  to: 'unacknowledged',
};

function raise(memory: AlarmMemory, event: { since: number; t: number }): Step {
  const { t } = event;
  const raises = [...memory.raises, t].slice(-chatterRaises);
  const chatterStarts = raises.length === chatterRaises && t - raises[0]! <= chatterSpanMs;
  const chattering = memory.chattering || chatterStarts;
  const next: AlarmMemory = { ...memory, holds: true, tripped: true, raises, chattering };
  if (isHeld(memory)) {
    const shelved = memory.shelved && { ...memory.shelved, held: true };
    return moved(memory, { ...next, shelved, raisedAt: event.since, chattering: false }, t, 'raised');
  }
  const note = chatterStarts && !memory.chattering ? [chatterNote] : [];
  // While it chatters the clearing was never shown, so a raise is nothing new to a person.
  if (memory.chattering) return { memory: next, effects: [], refused: null };
  const told = memory.live === 'returned-unacknowledged' || memory.live === 'latched-unacknowledged';
  const because = memory.live === 'normal' ? 'raised' : 'raised-again';
  const ring: AlarmEffect[] = chattering && told ? [] : [{ type: 'annunciate', because }];
  return moved(
    memory,
    { ...next, live: 'unacknowledged', raisedAt: event.since },
    t,
    because,
    ...note,
    ...ring,
  );
}

function clear(rule: AlarmRule, memory: AlarmMemory, t: number): Step {
  const next = { ...memory, holds: false };
  if (memory.shelved?.oneShot && memory.shelved.held)
    return release(rule, memory, { ...next, shelved: null }, t, 'one-shot-over');
  if (isHeld(memory)) return moved(memory, next, t, 'cleared');
  if (memory.chattering) return { memory: next, effects: [], refused: null };
  return showClear(rule, memory, next, t);
}

/** B -> D or E, C -> A or F; B -> A where it ends itself. */
function showClear(rule: AlarmRule, before: AlarmMemory, next: AlarmMemory, t: number): Step {
  const acknowledged = before.live === 'acknowledged';
  if (rule.latching) {
    const live = acknowledged ? 'latched-acknowledged' : 'latched-unacknowledged';
    return moved(before, { ...next, live }, t, 'cleared', { type: 'returned' });
  }
  if (acknowledged || rule.endsItself) return moved(before, atRest(next), t, 'cleared', { type: 'returned' });
  return moved(before, { ...next, live: 'returned-unacknowledged' }, t, 'cleared', { type: 'returned' });
}

const atRest = (memory: AlarmMemory): AlarmMemory => ({
  ...memory,
  live: 'normal',
  raisedAt: null,
  acknowledgedAt: null,
  tripped: false,
});

function acknowledge(memory: AlarmMemory, t: number): Step {
  switch (memory.live) {
    case 'unacknowledged':
      return moved(memory, { ...memory, live: 'acknowledged', acknowledgedAt: t }, t, 'acknowledged');
    case 'returned-unacknowledged':
      return moved(memory, atRest(memory), t, 'acknowledged');
    case 'latched-unacknowledged':
      return moved(memory, { ...memory, live: 'latched-acknowledged', acknowledgedAt: t }, t, 'acknowledged');
    default:
      return refuse(memory, `it is ${words[memory.live]}, so there is nothing to acknowledge`);
  }
}

function reset(memory: AlarmMemory, t: number): Step {
  const shown = shownState(memory);
  if (memory.holds) return refuse(memory, 'the condition still holds; put it right first, then reset');
  if (shown === 'latched-unacknowledged') return refuse(memory, 'acknowledge it first, then reset');
  if (shown !== 'latched-acknowledged')
    return refuse(memory, `it is ${words[shown]}, so there is nothing to reset`);
  return moved(memory, atRest(memory), t, 'reset');
}

function shelve(
  rule: AlarmRule,
  memory: AlarmMemory,
  event: { t: number; forMs: number; oneShot: boolean },
): Step {
  if (isHeld(memory)) return refuse(memory, `it is ${words[shownState(memory)]} already`);
  if (!(event.forMs > 0)) return refuse(memory, 'shelving needs an end: give the minutes');
  if (event.forMs > rule.shelveCapMs) {
    const [asked, cap] = [event.forMs, rule.shelveCapMs].map((ms) => Math.round(ms / minuteMs));
    return refuse(memory, `it may be shelved for ${cap} min at most, and ${asked} min were asked for`);
  }
  const shelved = { until: event.t + event.forMs, oneShot: event.oneShot, held: memory.holds };
  return moved(memory, { ...memory, shelved, chattering: false }, event.t, 'shelved');
}

/** Takes a hold away; when it was the last, the state follows from the process as it is now. */
function release(rule: AlarmRule, before: AlarmMemory, after: AlarmMemory, t: number, event: string): Step {
  if (isHeld(after)) return moved(before, after, t, event);
  const next = { ...after, acknowledgedAt: null };
  const ring: AlarmEffect = { type: 'annunciate', because: 'back-in-view' };
  if (next.holds) return moved(before, { ...next, live: 'unacknowledged' }, t, event, ring);
  if (rule.latching && next.tripped)
    return moved(before, { ...next, live: 'latched-unacknowledged' }, t, event, ring);
  return moved(before, atRest(next), t, event);
}

/** Else a shelving would last hours longer than was asked for, and a re-alarm come hours late. */
function setBack(memory: AlarmMemory, byMs: number): Step {
  if (memory.shelved === null && memory.acknowledgedAt === null && memory.raises.length === 0)
    return still(memory);
  return still({
    ...memory,
    acknowledgedAt: memory.acknowledgedAt === null ? null : memory.acknowledgedAt - byMs,
    shelved: memory.shelved && { ...memory.shelved, until: memory.shelved.until - byMs },
    raises: memory.raises.map((t) => t - byMs),
  });
}

function timer(rule: AlarmRule, memory: AlarmMemory, t: number): Step {
  const due = dueAt(rule, memory);
  if (due === null || t < due) return still(memory);
  if (memory.shelved && memory.shelved.until <= t)
    return release(rule, memory, { ...memory, shelved: null }, t, 'shelving-over');
  if (memory.chattering && memory.raises[memory.raises.length - 1]! + chatterSpanMs <= t) {
    const steady = { ...memory, chattering: false };
    if (memory.holds) return moved(memory, steady, t, 'steady');
    return showClear(rule, memory, steady, t);
  }
  const ring: AlarmEffect = { type: 'annunciate', because: 're-alarm' };
  return moved(memory, { ...memory, live: 'unacknowledged', acknowledgedAt: null }, t, 're-alarm', ring);
}
