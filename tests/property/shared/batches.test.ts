import fc from 'fast-check';
import { expect, test } from 'vitest';
import type { BagEvent } from '../../../shared/bags.ts';
import { newBatchId } from '../../../shared/batches/batch-id.ts';
import { bagHistories, deriveBatch } from '../../../shared/batches/derive-batch.ts';
import { createEventWriter, making } from '../../tools/bag-events.ts';

const bags = fc.option(fc.uniqueArray(fc.integer({ min: 1, max: 7 }), { minLength: 1 }), { nil: undefined });
const happening = fc.record({
  kind: fc.constantFrom('placed', 'moved', 'checked', 'shaken', 'used', 'discarded', 'noted', 'undone'),
  atDay: fc.integer({ min: 0, max: 12 }),
  bags,
  shelf: fc.constantFrom('A1', 'A2'),
  share: fc.constantFrom(0, 0.3, 1),
  target: fc.nat(),
});
type Happening = typeof happening extends fc.Arbitrary<infer T> ? T : never;

/** Any history at all, impossible ones too: numbers beyond the batch, bags handled after they left. */
const history: fc.Arbitrary<BagEvent[]> = fc.array(happening, { maxLength: 14 }).map((happenings) => {
  const event = createEventWriter();
  const events: BagEvent[] = [event('made', 0, making)];
  const extras = (told: Happening) => ({
    placed: { bags: told.bags, shelf: told.shelf },
    moved: { bags: told.bags, shelf: told.shelf },
    checked: { bags: told.bags, share: told.share },
    shaken: { bags: told.bags },
    used: { bags: told.bags },
    discarded: { bags: told.bags, reason: 'green' },
    noted: { bags: told.bags, text: 'hm' },
    undone: { event: events[told.target % events.length]!.id },
  });
  for (const told of happenings) events.push(event(told.kind, told.atDay, extras(told)[told.kind] as never));
  return events;
});
const settings = { seed: 20261001, numRuns: 300 };

test('the order of recording plays no part', () => {
  const shuffled = history.chain((events) =>
    fc.tuple(fc.constant(events), fc.shuffledSubarray(events, { minLength: events.length })),
  );
  fc.assert(
    fc.property(shuffled, ([told, mixed]) => {
      expect(deriveBatch(mixed)).toEqual(deriveBatch(told));
    }),
    settings,
  );
});

test('every bag is in exactly one place: a cohort, used, or discarded', () => {
  fc.assert(
    fc.property(history, (events) => {
      const state = deriveBatch(events);
      if (state === undefined) return;
      const everywhere = [
        ...state.cohorts.flatMap((cohort) => cohort.bags),
        ...state.used.map((left) => left.bag),
        ...state.discarded.map((left) => left.bag),
      ];
      expect(everywhere.sort((a, b) => a - b)).toEqual([1, 2, 3, 4, 5, 6]);
    }),
    settings,
  );
});

test('no two cohorts have the same history, and each has its times in order', () => {
  fc.assert(
    fc.property(history, (events) => {
      const cohorts = deriveBatch(events)?.cohorts ?? [];
      const told = cohorts.map(({ stays, checks, shakes }) => JSON.stringify([stays, checks, shakes]));
      expect(new Set(told).size).toBe(told.length);
      for (const { stays, checks, shakes } of cohorts)
        for (const times of [stays.map((stay) => stay.from), checks.map((check) => check.t), shakes])
          expect(times).toEqual([...times].sort((a, b) => a - b));
    }),
    settings,
  );
});

test('taking an event back is as if it had never been', () => {
  const undo = createEventWriter('undo');
  fc.assert(
    fc.property(history, fc.nat(), (events, pick) => {
      const target = events[pick % events.length]!;
      if (target.kind === 'undone') return;
      const without = events.filter(
        (event) => event !== target && !(event.kind === 'undone' && event.event === target.id),
      );
      const taken = without.concat(target, {
        ...undo('undone', 20, { event: target.id }),
        batch: target.batch,
      });
      expect(deriveBatch(taken)).toEqual(deriveBatch(without));
    }),
    settings,
  );
});

test('an event told as a problem changed no bag that it could not concern', () => {
  fc.assert(
    fc.property(history, (events) => {
      const { groups = [], problems = [] } = bagHistories(events) ?? {};
      for (const { event } of problems)
        if (event.kind === 'checked')
          for (const group of groups)
            if (group.left !== null && group.left.t < event.t)
              expect(group.checks.some((check) => check.event === event.id)).toBe(false);
    }),
    settings,
  );
});

test('batch ids are short, and hold no sign that is read as another', () => {
  fc.assert(
    fc.property(
      fc.array(fc.double({ min: 0, max: 1, maxExcluded: true, noNaN: true }), { minLength: 6 }),
      (draws) => {
        let next = 0;
        expect(newBatchId(() => draws[next++ % draws.length]!)).toMatch(
          /^[ACDEFGHJKMNPQRTUWXY34679]{3}-[^01IOLSZ258B]{3}$/,
        );
      },
    ),
    settings,
  );
});
