import { expect, it } from 'vitest';
import { createAlarmJournal } from '../../../alerts/journal.ts';
import { alarmSite } from '../../tools/alarm-site.ts';

/** The warm room too warm and too damp, and shelf A2 too warm, one of them acknowledged. */
function troubled() {
  const site = alarmSite();
  site.hold({ 'warm-air.temperature': 29, 'warm-air.humidity': 90, 'a2.temperature': 27 }, 180);
  site.book.act('high/warm-room.temperature', { act: 'acknowledge' }, 'Rowan');
  return site;
}

const alarmsOf = (site: ReturnType<typeof alarmSite>, question: object) =>
  new Set(site.book.journal({ limit: 100, ...question }).map(({ alarm }) => alarm));

it('asks for a room, with its shelves, or for one shelf', () => {
  const site = troubled();
  expect(alarmsOf(site, { place: 'warm-room' })).toEqual(
    new Set(['high/warm-room.temperature', 'high/warm-room.humidity', 'high/A2.temperature']),
  );
  expect(alarmsOf(site, { place: 'A2' })).toEqual(new Set(['high/A2.temperature']));
  expect(alarmsOf(site, { place: 'attic' })).toEqual(new Set());
});

it('asks for a person, a state, a priority, and all of them at once', () => {
  const site = troubled();
  expect(alarmsOf(site, { who: 'Rowan' })).toEqual(new Set(['high/warm-room.temperature']));
  expect(alarmsOf(site, { state: 'acknowledged' })).toEqual(new Set(['high/warm-room.temperature']));
  expect(alarmsOf(site, { priority: 3 })).toEqual(new Set(['high/warm-room.humidity']));
  expect(alarmsOf(site, { priority: 2, place: 'A2', state: 'unacknowledged' })).toEqual(
    new Set(['high/A2.temperature']),
  );
  expect(alarmsOf(site, { who: 'Ash' })).toEqual(new Set());
});

it('names itself as the records of unloads do, and finds lines from before it did', () => {
  const site = troubled();
  const itself = site.book.journal({ limit: 100, who: 'Shelfwarden' });
  expect(new Set(itself.map(({ who }) => who))).toEqual(new Set(['Shelfwarden']));
  const { seq: _, ...line } = itself[0]!;
  createAlarmJournal(site.database).append({ ...line, who: 'shelfwarden' });
  const found = site.book.journal({ limit: 100, who: 'Shelfwarden' });
  expect(found).toHaveLength(itself.length + 1);
  expect(found[0]!.who).toBe('shelfwarden');
});

it('reads on where an answer ended', () => {
  const site = troubled();
  const all = site.book.journal({ limit: 100 });
  const first = site.book.journal({ limit: 2 });
  const rest = site.book.journal({ limit: 100, before: first.at(-1)!.seq });
  expect([...first, ...rest]).toEqual(all);
});

it('gives a span in the order it was written, led by what each alarm was before', () => {
  const site = troubled();
  const from = site.clock.now() + 1;
  site.run(10);
  site.book.act('high/warm-room.humidity', { act: 'acknowledge' }, 'Rowan');
  const lines = site.book.journalSpan(from, site.clock.now() + 1);
  expect(lines.map(({ alarm, event }) => `${alarm} ${event}`).slice(-1)).toEqual([
    'high/warm-room.humidity acknowledged',
  ]);
  expect(lines.filter(({ t }) => t < from)).toHaveLength(3);
});
