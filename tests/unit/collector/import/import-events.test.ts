import { beforeEach, expect, test } from 'vitest';
import { createBagBook } from '../../../../collector/bags/bag-book.ts';
import { importEvents } from '../../../../collector/import/import-events.ts';
import { createEventWriter, making } from '../../../tools/bag-events.ts';
import { openImportSite } from './site.ts';

let site: ReturnType<typeof openImportSite>;
beforeEach(() => {
  site = openImportSite();
});
const take = (lines: string[]) => importEvents(site.file('events.jsonl', lines.join('\n')), site);

test('events in any order, known when they happened; again they change nothing', async () => {
  const parent = createEventWriter('AAA-111');
  const child = createEventWriter('BBB-222');
  const events = [
    child('made', 9, { ...making, parent: { batch: 'AAA-111' } }),
    parent('undone', 8, { event: 'AAA-111-event-003' }),
    parent('made', 0, making),
    parent('checked', 7, { share: 1, id: 'AAA-111-event-003' }),
    child('placed', 9, { shelf: 'A1' }),
  ].map((event) => JSON.stringify(event));
  expect(await take(events)).toMatchObject({ lines: 5, added: 5, known: 0, bad: 0 });
  expect(await take(events)).toMatchObject({ added: 0, known: 5, bad: 0 });
  const book = createBagBook({ ...site, farm: () => site.farm });
  expect(book.batches().map(({ id }) => id)).toEqual(['AAA-111', 'BBB-222']);
  const nullOnly = site.database.prepare('SELECT count(*) FROM bag_event WHERE recorded_at IS NOT NULL');
  expect(nullOnly.pluck().get()).toBe(0);
});

test('each bad line is told by its number and the rest is kept', async () => {
  const write = createEventWriter('AAA-111');
  const count = await take([
    JSON.stringify(write('made', 0, making)),
    '{"kind":',
    JSON.stringify({ ...write('shaken', 2, {}), kind: 'stirred' }),
    JSON.stringify(write('placed', 1, { shelf: 'Z9' })),
    JSON.stringify(write('checked', 3, { share: 0.4 })),
    JSON.stringify(write('shaken', 4, { bags: [7] })),
  ]);
  expect(count).toMatchObject({ added: 2, bad: 4 });
  expect(site.told.map((line) => /:(\d): (.*)/.exec(line)?.slice(1))).toEqual([
    ['2', expect.stringMatching(/no JSON object/)],
    ['3', expect.stringMatching(/not well formed/)],
    ['4', expect.stringMatching(/no shelf 'Z9'.*Known: A1, A2/)],
    ['6', expect.stringMatching(/bags 1 to 6, not bag 7/)],
  ]);
});
