import { describe, expect, it } from 'vitest';
import { type Draft, eventsOf, nextBatchName } from '../../../../../dashboard/web/record/draft.ts';
import { fieldProblems } from '../../../../../dashboard/web/record/send.ts';
import { bagEvent } from '../../../../../shared/bags.ts';
import { readBags, writeBags } from '../../../../../shared/batches/bag-list.ts';
import { hourMs } from '../../../../../shared/time.ts';
import { fixtureNow, liveAt } from '../../../../browser/fixture/live.ts';

const { batches, farm } = liveAt(fixtureNow, 'quiet');
const known = { batches, now: fixtureNow, zone: farm.site.timeZone };
const empty: Draft = {
  kind: 'checked',
  ids: ['event-one', 'event-two'],
  batch: 'K706',
  bags: '',
  shelf: '',
  share: '',
  purpose: '',
  reason: '',
  text: '',
  newBatch: '',
  strain: '',
  container: '',
  count: '',
  generation: 'G1',
  way: 'agar-wedges',
  amount: '',
  parent: '',
  parentBag: '',
  who: 'Ida',
  when: '',
};
const events = (part: Partial<Draft>) => {
  const result = eventsOf({ ...empty, ...part }, known);
  if (!result.ok) throw new Error(JSON.stringify(result.problems));
  return result.events;
};
const problems = (part: Partial<Draft>) => {
  const result = eventsOf({ ...empty, ...part }, known);
  return result.ok ? {} : result.problems;
};

describe('bag lists', () => {
  it.each([
    ['', []],
    ['7', [7]],
    ['1-4, 7', [1, 2, 3, 4, 7]],
    ['3–5,4, 1', [1, 3, 4, 5]],
  ])('%j is read', (text, bags) => expect(readBags(text)).toEqual(bags));

  it.each(['x', '4-2', '0', '1-', '1;2', '1000'])('%j is no list', (text) =>
    expect(readBags(text)).toBeNull(),
  );

  it('are written as a person does, and read back the same', () => {
    expect(writeBags([7, 1, 2, 3, 9])).toBe('1–3, 7, 9');
    expect(readBags(writeBags([7, 1, 2, 3, 9]))).toEqual([1, 2, 3, 7, 9]);
  });
});

describe('what the form makes', () => {
  it('a check of some bags, at the site’s present', () => {
    expect(events({ share: '42', bags: '1-2' })).toEqual([
      {
        id: 'event-one',
        t: fixtureNow,
        who: 'Ida',
        batch: 'K706',
        bags: [1, 2],
        kind: 'checked',
        share: 0.42,
      },
    ]);
  });

  it('leaves the bags out when all are meant', () => {
    expect(events({ kind: 'shaken' })[0]).not.toHaveProperty('bags');
  });

  it('a making with its place is two events with ids of their own', () => {
    const made = events({
      kind: 'made',
      newBatch: 'K739',
      strain: 'larch-2',
      container: 'bag-3l',
      count: '8',
      amount: '12',
      parent: 'K701',
      parentBag: '2',
      shelf: 'A2',
    });
    expect(made.map(({ id, kind }) => [id, kind])).toEqual([
      ['event-one', 'made'],
      ['event-two', 'placed'],
    ]);
    expect(made[0]).toMatchObject({
      count: 8,
      inoculation: { way: 'agar-wedges', pieces: 12 },
      parent: { batch: 'K701', bag: 2 },
    });
  });

  it('events that the server’s own schema takes, for every kind', () => {
    const all = [
      { kind: 'placed', shelf: 'A1' },
      { kind: 'moved', shelf: 'A1' },
      { kind: 'checked', share: '0' },
      { kind: 'shaken' },
      { kind: 'used', purpose: 'G2' },
      { kind: 'discarded', reason: 'wet corner' },
      { kind: 'noted', text: 'smells sweet' },
      {
        kind: 'made',
        newBatch: 'X1',
        strain: 's',
        container: 'c',
        count: '1',
        amount: '2.5',
        way: 'liquid-culture',
      },
      {
        kind: 'made',
        newBatch: 'X1',
        strain: 's',
        container: 'c',
        count: '1',
        amount: '10',
        way: 'grain-to-grain',
      },
    ] as Partial<Draft>[];
    for (const part of all)
      for (const event of events(part)) expect(bagEvent.safeParse(event).error?.issues).toBeUndefined();
  });

  it('takes a time on the site’s wall clock', () => {
    expect(events({ kind: 'shaken', when: '2026-11-24T13:30' })[0]?.t).toBe(fixtureNow - hourMs - 120_000);
  });
});

describe('what is wrong is said by field', () => {
  it.each([
    ['batch', { batch: '' }],
    ['share', { share: '' }],
    ['share', { share: '101' }],
    ['bags', { bags: '1-9', share: '1' }],
    ['bags', { bags: 'all', share: '1' }],
    ['who', { who: ' ', share: '1' }],
    ['when', { when: '2026-11-25T09:00', share: '1' }],
    ['when', { when: 'soon', share: '1' }],
    ['shelf', { kind: 'moved' }],
    ['reason', { kind: 'discarded', reason: '  ' }],
    ['text', { kind: 'noted' }],
    ['newBatch', { kind: 'made', newBatch: 'K701' }],
    ['newBatch', { kind: 'made', newBatch: 'a b' }],
    ['count', { kind: 'made', count: '0' }],
    ['strain', { kind: 'made' }],
    ['container', { kind: 'made' }],
    ['amount', { kind: 'made', amount: '1.5' }],
    ['amount', { kind: 'made', way: 'liquid-culture', amount: '' }],
    ['parentBag', { kind: 'made', parent: 'K701', parentBag: 'x' }],
  ] as [keyof Draft, Partial<Draft>][])('%s of %j', (field, part) => {
    expect(problems(part)[field]).toBeTypeOf('string');
  });

  it('names the bags that do not stand', () => {
    expect(problems({ bags: '5-8', share: '1' }).bags).toContain('7–8');
  });

  it('puts what the server refuses at the form’s own fields', () => {
    const problem = {
      status: 422,
      text: '',
      fields: { batch: 'taken', inoculation: 'too many', t: 'ahead' },
    };
    expect(fieldProblems(problem, true)).toEqual({ newBatch: 'taken', amount: 'too many', when: 'ahead' });
    expect(fieldProblems(problem, false)).toHaveProperty('batch', 'taken');
  });
});

describe('the next name', () => {
  it('goes on in the farm’s own way', () => {
    expect(nextBatchName([{ id: 'K009' }, { id: 'K010' }])).toBe('K011');
    expect(nextBatchName([{ id: 'plain' }])).toBe('B001');
  });
});
