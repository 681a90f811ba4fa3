import { describe, expect, test } from 'vitest';
import {
  type AlarmEffect,
  type AlarmEvent,
  type AlarmMemory,
  type AlarmRule,
  calmMemory,
  dueAt,
  shownState,
  step,
} from '../../../alerts/state.ts';
import type { AlarmState } from '../../../shared/alarms.ts';

const minute = 60_000;
const plain: AlarmRule = { latching: false, reAlarmMs: 60 * minute, shelveCapMs: 480 * minute };
const latching: AlarmRule = { ...plain, latching: true };
const warning: AlarmRule = { ...plain, endsItself: true };

type Event = AlarmEvent extends infer E ? (E extends unknown ? Omit<E, 't'> : never) : never;
const on: Event = { type: 'condition', holds: true, since: 0 };
const off: Event = { type: 'condition', holds: false, since: 0 };
const shelve: Event = { type: 'shelve', forMs: 60 * minute, oneShot: false };
const oneShot: Event = { type: 'shelve', forMs: 60 * minute, oneShot: true };
const suppress: Event = { type: 'suppress', by: 'unload' };
const release: Event = { type: 'release', by: 'unload' };
const does = (
  type: Exclude<AlarmEvent['type'], 'condition' | 'shelve' | 'suppress' | 'release' | 'clock-set-back'>,
): Event => ({
  type,
});
const ack = does('acknowledge');

/** Ten minutes pass between events, so that nothing chatters. */
function play(rule: AlarmRule, events: readonly Event[], from: AlarmMemory = calmMemory(0)) {
  let memory = from;
  let last: { effects: AlarmEffect[]; refused: string | null } = { effects: [], refused: null };
  let t = 0;
  for (const event of events) {
    t += 10 * minute;
    const due = event.type === 'timer' ? dueAt(rule, memory) : null;
    if (due !== null) t = due;
    last = step(rule, memory, { ...event, t } as AlarmEvent);
    memory = (last as { memory: AlarmMemory } & typeof last).memory;
  }
  const rings = last.effects.find((effect) => effect.type === 'annunciate');
  return {
    memory,
    state: shownState(memory),
    rings: rings?.type === 'annunciate' ? rings.because : null,
    returned: last.effects.some((effect) => effect.type === 'returned'),
    refused: last.refused,
    journalled: last.effects.flatMap((effect) => (effect.type === 'journal' ? [effect] : [])),
  };
}

/** The way into each state, for a plain and for a latching alarm. */
const into: Record<string, { rule: AlarmRule; events: Event[]; state: AlarmState }> = {
  A: { rule: plain, events: [], state: 'normal' },
  B: { rule: plain, events: [on], state: 'unacknowledged' },
  C: { rule: plain, events: [on, ack], state: 'acknowledged' },
  D: { rule: plain, events: [on, off], state: 'returned-unacknowledged' },
  'A latching': { rule: latching, events: [], state: 'normal' },
  'B latching': { rule: latching, events: [on], state: 'unacknowledged' },
  'C latching': { rule: latching, events: [on, ack], state: 'acknowledged' },
  'B that ends itself': { rule: warning, events: [on], state: 'unacknowledged' },
  'C that ends itself': { rule: warning, events: [on, ack], state: 'acknowledged' },
  E: { rule: latching, events: [on, off], state: 'latched-unacknowledged' },
  F: { rule: latching, events: [on, ack, off], state: 'latched-acknowledged' },
  'G calm': { rule: plain, events: [shelve], state: 'shelved' },
  'G holding': { rule: plain, events: [on, shelve], state: 'shelved' },
  'G one-shot, calm': { rule: plain, events: [oneShot], state: 'shelved' },
  'G one-shot, holding': { rule: plain, events: [on, oneShot], state: 'shelved' },
  'G latching, tripped': { rule: latching, events: [on, off, shelve], state: 'shelved' },
  'H calm': { rule: plain, events: [suppress], state: 'suppressed' },
  'H holding': { rule: plain, events: [on, suppress], state: 'suppressed' },
  'H over G': { rule: plain, events: [shelve, suppress], state: 'suppressed' },
  'I calm': { rule: plain, events: [does('take-out-of-service')], state: 'out-of-service' },
  'I holding': { rule: plain, events: [on, does('take-out-of-service')], state: 'out-of-service' },
  'I over H': { rule: plain, events: [suppress, does('take-out-of-service')], state: 'out-of-service' },
};

test.each(Object.entries(into))('the way into %s', (_, { rule, events, state }) => {
  expect(play(rule, events).state).toBe(state);
});

type Row = [from: keyof typeof into, name: string, event: Event, to: AlarmState, rings?: string];
const rows: Row[] = [
  ['A', 'condition holds', on, 'unacknowledged', 'raised'],
  ['A', 'shelve', shelve, 'shelved'],
  ['A', 'suppress', suppress, 'suppressed'],
  ['A', 'take out of service', does('take-out-of-service'), 'out-of-service'],
  ['B', 'acknowledge', ack, 'acknowledged'],
  ['B', 'condition clears', off, 'returned-unacknowledged'],
  ['B', 'shelve', shelve, 'shelved'],
  ['B', 'suppress', suppress, 'suppressed'],
  ['B', 'take out of service', does('take-out-of-service'), 'out-of-service'],
  ['B latching', 'condition clears', off, 'latched-unacknowledged'],
  ['B latching', 'acknowledge', ack, 'acknowledged'],
  ['B that ends itself', 'condition clears', off, 'normal'],
  ['C that ends itself', 'condition clears', off, 'normal'],
  ['C', 'condition clears', off, 'normal'],
  ['C', 're-alarm time', does('timer'), 'unacknowledged', 're-alarm'],
  ['C', 'shelve', shelve, 'shelved'],
  ['C', 'suppress', suppress, 'suppressed'],
  ['C', 'take out of service', does('take-out-of-service'), 'out-of-service'],
  ['C latching', 'condition clears', off, 'latched-acknowledged'],
  ['D', 'acknowledge', ack, 'normal'],
  ['D', 'condition again', on, 'unacknowledged', 'raised-again'],
  ['D', 'shelve', shelve, 'shelved'],
  ['D', 'suppress', suppress, 'suppressed'],
  ['D', 'take out of service', does('take-out-of-service'), 'out-of-service'],
  ['E', 'acknowledge', ack, 'latched-acknowledged'],
  ['E', 'condition again', on, 'unacknowledged', 'raised-again'],
  ['E', 'shelve', shelve, 'shelved'],
  ['F', 'reset', does('reset'), 'normal'],
  ['F', 'condition again', on, 'unacknowledged', 'raised-again'],
  ['F', 'suppress', suppress, 'suppressed'],
  ['G calm', 'unshelve', does('unshelve'), 'normal'],
  ['G calm', 'time is over', does('timer'), 'normal'],
  ['G calm', 'condition holds', on, 'shelved'],
  ['G calm', 'suppress', suppress, 'suppressed'],
  ['G calm', 'take out of service', does('take-out-of-service'), 'out-of-service'],
  ['G holding', 'unshelve', does('unshelve'), 'unacknowledged', 'back-in-view'],
  ['G holding', 'time is over', does('timer'), 'unacknowledged', 'back-in-view'],
  ['G holding', 'condition clears', off, 'shelved'],
  ['G holding', 'shelving lost in a restart', does('shelving-lost'), 'unacknowledged', 'back-in-view'],
  ['G calm', 'shelving lost in a restart', does('shelving-lost'), 'normal'],
  ['G one-shot, holding', 'condition clears', off, 'normal'],
  ['G one-shot, holding', 'time is over', does('timer'), 'unacknowledged', 'back-in-view'],
  ['G latching, tripped', 'unshelve', does('unshelve'), 'latched-unacknowledged', 'back-in-view'],
  ['H calm', 'release', release, 'normal'],
  ['H calm', 'condition holds', on, 'suppressed'],
  ['H calm', 'take out of service', does('take-out-of-service'), 'out-of-service'],
  ['H holding', 'release', release, 'unacknowledged', 'back-in-view'],
  ['H holding', 'condition clears', off, 'suppressed'],
  ['H over G', 'release', release, 'shelved'],
  ['H over G', 'unshelve', does('unshelve'), 'suppressed'],
  ['I calm', 'return to service', does('return-to-service'), 'normal'],
  ['I calm', 'condition holds', on, 'out-of-service'],
  ['I holding', 'return to service', does('return-to-service'), 'unacknowledged', 'back-in-view'],
  ['I holding', 'condition clears', off, 'out-of-service'],
  ['I over H', 'return to service', does('return-to-service'), 'suppressed'],
];

describe('every row of the transition table', () => {
  test.each(rows)('%s: %s', (from, _, event, to, rings) => {
    const start = into[from]!;
    const end = play(start.rule, [...start.events, event]);
    expect(end.refused).toBeNull();
    expect(end.state).toBe(to);
    expect(end.rings).toBe(rings ?? null);
    expect(end.journalled).toHaveLength(1);
    expect(end.journalled[0]).toMatchObject({ from: start.state, to });
  });

  test('B: condition clears tells those who were told, as C does', () => {
    expect(play(plain, [on, off]).returned).toBe(true);
    expect(play(plain, [on, ack, off]).returned).toBe(true);
    expect(play(plain, [on, shelve, off]).returned).toBe(false);
  });
});

const refusals: [keyof typeof into, string, Event, RegExp][] = [
  ['A', 'acknowledge', ack, /normal/],
  ['C', 'acknowledge', ack, /acknowledged/],
  ['F', 'acknowledge', ack, /latched/],
  ['G holding', 'acknowledge', ack, /shelved/],
  ['H holding', 'acknowledge', ack, /suppressed by design/],
  ['I holding', 'acknowledge', ack, /out of service/],
  ['A', 'reset', does('reset'), /nothing to reset/],
  ['B latching', 'reset', does('reset'), /still holds/],
  ['C latching', 'reset', does('reset'), /still holds/],
  ['D', 'reset', does('reset'), /nothing to reset/],
  ['E', 'reset', does('reset'), /acknowledge it first/],
  ['G calm', 'reset', does('reset'), /nothing to reset/],
  ['A', 'unshelve', does('unshelve'), /not shelved/],
  ['A', 'return to service', does('return-to-service'), /in service/],
  ['G calm', 'shelve again', shelve, /shelved already/],
  ['H calm', 'shelve', shelve, /suppressed by design already/],
  ['I calm', 'shelve', shelve, /out of service already/],
  ['I calm', 'take out of service again', does('take-out-of-service'), /already/],
  ['B', 'shelve over the cap', { type: 'shelve', forMs: 481 * minute, oneShot: false }, /480 min at most/],
  ['B', 'shelve without an end', { type: 'shelve', forMs: 0, oneShot: true }, /needs an end/],
];

test.each(refusals)('%s refuses: %s', (from, _, event, why) => {
  const start = into[from]!;
  const before = play(start.rule, start.events);
  const after = play(start.rule, [...start.events, event]);
  expect(after.refused).toMatch(why);
  expect(after.memory).toEqual(before.memory);
  expect(after.journalled).toEqual([]);
});

const setBack: Event = { type: 'clock-set-back', byMs: 180 * minute };

describe('a clock that is set back by three hours', () => {
  test.each(Object.keys(into))(
    '%s: stays as it is, and what counts by the clock comes as long after',
    (from) => {
      const start = into[from]!;
      const before = play(start.rule, start.events);
      const after = play(start.rule, [...start.events, setBack]);
      expect(after).toMatchObject({ state: start.state, rings: null, returned: false, refused: null });
      expect(after.journalled).toEqual([]);
      const due = dueAt(start.rule, before.memory);
      expect(dueAt(start.rule, after.memory)).toBe(due === null ? null : due - 180 * minute);
      expect(after.memory.raises).toEqual(before.memory.raises.map((t) => t - 180 * minute));
      expect({ ...after.memory, raises: [], acknowledgedAt: null, shelved: null }).toEqual({
        ...{ ...before.memory, raises: [], acknowledgedAt: null, shelved: null },
      });
    },
  );
});

test('exactly the cap may be shelved', () => {
  expect(play(plain, [on, { type: 'shelve', forMs: 480 * minute, oneShot: false }]).state).toBe('shelved');
});

test('what repeats what is so changes nothing', () => {
  for (const events of [[on, on], [off], [suppress, suppress], [release]] as Event[][])
    expect(play(plain, events).journalled).toEqual([]);
});

test('a one-shot shelving set in calm ends with the next occurrence', () => {
  expect(play(plain, [oneShot, on]).state).toBe('shelved');
  expect(play(plain, [oneShot, on, off]).state).toBe('normal');
});

test('two causes that suppress hold until both are gone', () => {
  const other: Event = { type: 'suppress', by: 'gateway' };
  expect(play(plain, [on, suppress, other, release]).state).toBe('suppressed');
  expect(play(plain, [on, suppress, other, release, { type: 'release', by: 'gateway' }]).state).toBe(
    'unacknowledged',
  );
});

test('a latching alarm that tripped while out of service is latched when it returns', () => {
  const end = play(latching, [does('take-out-of-service'), on, off, does('return-to-service')]);
  expect(end.state).toBe('latched-unacknowledged');
});

test('no re-alarm without a re-alarm time, and none while shelved', () => {
  expect(dueAt({ ...plain, reAlarmMs: null }, play(plain, [on, ack]).memory)).toBeNull();
  const { memory } = play(plain, [on, ack, shelve]);
  expect(dueAt(plain, memory)).toBe(memory.shelved!.until);
});

describe('chatter', () => {
  /** The condition turns each `everyS` seconds, beginning with on. */
  const flap = (rule: AlarmRule, turns: number, everyS: number) => {
    let memory = calmMemory(0);
    const effects: AlarmEffect[] = [];
    for (let turn = 1; turn <= turns; turn += 1) {
      const t = turn * everyS * 1000;
      const result = step(rule, memory, { type: 'condition', holds: turn % 2 === 1, since: t, t });
      memory = result.memory;
      effects.push(...result.effects);
    }
    const rings = effects.filter((effect) => effect.type === 'annunciate').length;
    const events = effects.flatMap((effect) => (effect.type === 'journal' ? [effect.event] : []));
    return { memory, rings, events };
  };

  test('the third raise within a minute is damped and reported once', () => {
    const { memory, rings, events } = flap(plain, 20, 5);
    expect(rings).toBe(2);
    expect(events.filter((event) => event === 'chattering')).toHaveLength(1);
    expect(shownState(memory)).toBe('unacknowledged');
    expect(memory).toMatchObject({ holds: false, chattering: true });
  });

  test('slower cycles are not chatter', () => {
    const { memory, rings } = flap(plain, 7, 16);
    expect(memory.chattering).toBe(false);
    expect(rings).toBe(4);
  });

  test('it ends a minute after the last raise, in the state that is so then', () => {
    const { memory } = flap(plain, 20, 5);
    const due = dueAt(plain, memory)!;
    expect(due).toBe(95_000 + minute);
    const end = step(plain, memory, { type: 'timer', t: due });
    expect(shownState(end.memory)).toBe('returned-unacknowledged');
    const holding = flap(plain, 19, 5).memory;
    const steady = step(plain, holding, { type: 'timer', t: due });
    expect(steady.memory).toMatchObject({ live: 'unacknowledged', chattering: false });
  });

  test('acknowledged while it chatters, it stays quiet', () => {
    const { memory } = flap(plain, 9, 5);
    const acked = step(plain, memory, { type: 'acknowledge', t: 46_000 }).memory;
    const off1 = step(plain, acked, { type: 'condition', holds: false, since: 0, t: 50_000 }).memory;
    const on1 = step(plain, off1, { type: 'condition', holds: true, since: 0, t: 55_000 });
    expect(on1.effects).toEqual([]);
    expect(shownState(on1.memory)).toBe('acknowledged');
  });
});
