import { expect, it } from 'vitest';
import type { Answer } from '../../../../../dashboard/web/api.ts';
import { createTeller, type Doing, type Told } from '../../../../../dashboard/web/unload/teller.ts';

const load = { container: 'block-2kg', count: 24, startC: null };
const begun: Doing = {
  ...{ kind: 'begun', unload: 'u-0001', room: 'warm', load, options: { fan: false, extraCoolingW: 0 } },
};
const refused = (status: number): Answer<null> => ({
  ok: false,
  problem: { status, text: 'no', fields: {} },
});

/** Tells the same, a minute apart, and gets these answers. */
async function tellAgain(answers: readonly Answer<null>[], doing = begun): Promise<Told[]> {
  const sent: Told[] = [];
  let now = 0;
  const tell = createTeller<null>(
    async (told) => {
      sent.push(told);
      return answers[sent.length - 1]!;
    },
    () => (now += 60_000),
  );
  for (const _ of answers) await tell(doing);
  return sent;
}

it.each([0, 502])(
  'what is told again after an answer that got lost (%d) is the same event',
  async (status) => {
    const [first, again] = await tellAgain([refused(status), { ok: true, value: null }]);
    expect(first).toMatchObject({ ...begun, t: 60_000 });
    expect(again).toEqual(first);
  },
);

it('what is told again after a refusal is of its own time, as is what happens a second time', async () => {
  const ok: Answer<null> = { ok: true, value: null };
  for (const answer of [refused(409), ok]) {
    const [first, again] = await tellAgain([answer, ok]);
    expect(again!.id).not.toBe(first!.id);
    expect([first!.t, again!.t]).toEqual([60_000, 120_000]);
  }
});

it('what has a time of its own keeps it', async () => {
  const [told] = await tellAgain([{ ok: true, value: null }], { ...begun, t: 1_234 });
  expect(told!.t).toBe(1_234);
});
