import fc from 'fast-check';
import { test } from 'vitest';
import {
  type AlarmEvent,
  type AlarmRule,
  alarmMemory,
  calmMemory,
  dueAt,
  shownState,
  step,
} from '../../../alerts/state.ts';
import { createReference } from './reference-machine.ts';

const act = fc.oneof(
  { weight: 4, arbitrary: fc.record({ do: fc.constant('on' as const) }) },
  { weight: 4, arbitrary: fc.record({ do: fc.constant('off' as const) }) },
  { weight: 3, arbitrary: fc.record({ do: fc.constant('acknowledge' as const) }) },
  fc.record({ do: fc.constant('reset' as const) }),
  fc.record({
    do: fc.constant('shelve' as const),
    minutes: fc.integer({ min: 1, max: 70 }),
    oneShot: fc.boolean(),
  }),
  fc.record({ do: fc.constantFrom('unshelve', 'take-out-of-service', 'return-to-service') }),
  fc.record({
    do: fc.constantFrom('suppress' as const, 'release' as const),
    by: fc.constantFrom('unload', 'gateway'),
  }),
  fc.record({ do: fc.constantFrom('restart' as const, 'restart without shelving' as const) }),
);
const sequence = fc.array(
  // Mostly seconds, so that it chatters; now and then long enough for every timer.
  fc.record({ act, afterS: fc.oneof(fc.integer({ min: 0, max: 40 }), fc.integer({ min: 0, max: 7200 })) }),
  { minLength: 1, maxLength: 30 },
);
const rules = fc.record({
  kind: fc.constantFrom('plain', 'latching', 'ends itself'),
  reAlarmMin: fc.option(fc.constantFrom(1, 15, 60), { nil: null }),
});

// A hundred thousand comparisons: plainly, since the test runner's own cost more than the machines.
const same = (found: unknown, wanted: unknown) => {
  if (found !== wanted) throw new Error(`found ${found}, wanted ${wanted}`);
};

test('10,000 random lives of an alarm, restarts included, go as in an independent machine', () => {
  fc.assert(
    fc.property(rules, sequence, ({ kind, reAlarmMin }, acts) => {
      const latching = kind === 'latching';
      const endsItself = kind === 'ends itself';
      const reAlarmMs = reAlarmMin === null ? null : reAlarmMin * 60_000;
      const rule: AlarmRule = { latching, reAlarmMs, shelveCapMs: 3_600_000, endsItself };
      const reference = createReference({ latching, reAlarmMs, capMs: 3_600_000, endsItself });
      let memory = calmMemory(0);
      let rings = 0;
      let shown = shownState(memory);
      let t = 0;
      const feed = (event: AlarmEvent): boolean => {
        const result = step(rule, memory, event);
        memory = result.memory;
        for (const effect of result.effects) {
          if (effect.type === 'annunciate') rings += 1;
          if (effect.type !== 'journal') continue;
          // The journal alone tells the whole story: each line begins where the last one ended.
          same(effect.from, shown);
          shown = effect.to;
        }
        same(shown, shownState(memory));
        return result.refused === null;
      };
      for (const { act: next, afterS } of acts) {
        t += afterS * 1000;
        for (let due = dueAt(rule, memory); due !== null && due <= t; due = dueAt(rule, memory))
          feed({ type: 'timer', t: due });
        reference.runTo(t);
        if (next.do === 'on' || next.do === 'off') {
          feed({ type: 'condition', holds: next.do === 'on', since: t, t });
          reference.condition(next.do === 'on', t);
        } else if (next.do === 'acknowledge' || next.do === 'reset') {
          same(feed({ type: next.do, t }), reference[next.do](t));
        } else if (next.do === 'shelve' && 'minutes' in next) {
          const forMs = next.minutes * 60_000;
          const taken = feed({ type: 'shelve', t, forMs, oneShot: next.oneShot });
          same(taken, reference.shelve(t, forMs, next.oneShot));
        } else if (next.do === 'unshelve') same(feed({ type: 'unshelve', t }), reference.unshelve());
        else if (next.do === 'take-out-of-service') same(feed({ type: next.do, t }), reference.takeOut());
        else if (next.do === 'return-to-service') same(feed({ type: next.do, t }), reference.putBack());
        else if ('by' in next) {
          feed({ type: next.do, by: next.by, t });
          reference[next.do](next.by);
        } else {
          memory = alarmMemory.parse(JSON.parse(JSON.stringify(memory)));
          if (next.do === 'restart without shelving' && memory.shelved) {
            feed({ type: 'shelving-lost', t });
            reference.loseShelving();
          }
        }
        same(shownState(memory), reference.state());
      }
      same(rings, reference.rings());
    }),
    { numRuns: 10_000, seed: 20_260_504 },
  );
}, 60_000);
