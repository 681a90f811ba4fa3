import { describe, expect, it } from 'vitest';
import { createFeed, frameText } from '../../../../../dashboard/server/stream/feed.ts';
import type { SiteDesk } from '../../../../../shared/ports.ts';
import { createMemoryDesk } from '../desk.ts';

const eventsOf = (text: string): string[] => [...text.matchAll(/^event: (\w+)$/gm)].map(([, name]) => name!);
const lastIdOf = (text: string): string => [...text.matchAll(/^id: (.+)$/gm)].at(-1)![1]!;

function open() {
  const memory = createMemoryDesk();
  let desk: SiteDesk | undefined = memory.desk;
  const feed = createFeed({ desk: () => desk, name: 'p1' });
  const heard: string[] = [];
  feed.listen((text) => heard.push(text));
  return {
    ...memory,
    feed,
    heard,
    swap(next: SiteDesk | undefined) {
      desk = next;
      feed.refresh();
    },
  };
}

describe('a frame', () => {
  it('is an event with its data on one line, whatever the data holds', () => {
    expect(frameText('change', { text: 'a\nb\r\n\u2028' }, 'p.1.2')).toBe(
      'id: p.1.2\nevent: change\ndata: {"text":"a\\nb\\r\\n\u2028"}\n\n',
    );
    expect(frameText('heartbeat', {})).toBe('event: heartbeat\ndata: {}\n\n');
  });
});

describe('a feed', () => {
  it('opens with the whole state, then hands each change to every listener once made into text', () => {
    const { feed, heard, change } = open();
    expect(eventsOf(feed.opening(undefined))).toEqual(['state']);
    const also: string[] = [];
    feed.listen((text) => also.push(text));
    change({ now: 5 });
    expect(heard).toEqual(also);
    expect(eventsOf(heard.join(''))).toEqual(['change']);
    expect(heard[0]).toContain('data: {"now":5}');
  });

  it('sends a stream that comes back exactly what it missed, and nothing when it missed nothing', () => {
    const { feed, heard, change } = open();
    change({ now: 1 });
    const lastSeen = lastIdOf(heard[0]!);
    change({ now: 2 });
    change({ now: 3 });
    expect(feed.opening(lastSeen)).toBe(heard.slice(1).join(''));
    expect(feed.opening(lastIdOf(heard[2]!))).toBe('');
    expect(feed.opening(lastIdOf(feed.whole()))).toBe('');
  });

  it.each(['p0.1.1', 'p1.0.1', 'p1.1.999', 'p1.1.-1', 'p1.1.x', 'p1.1.', 'p1', '', '....'])(
    'sends the whole state after an event it does not know: %j',
    (id) => {
      const { feed, change } = open();
      change({});
      change({});
      expect(eventsOf(feed.opening(id))).toEqual(['state']);
    },
  );

  it('keeps a bounded past: after too much, the whole state again', () => {
    const { feed, heard, change } = open();
    change({});
    const early = lastIdOf(heard[0]!);
    for (let turn = 0; turn < 600; turn++) change({ now: turn });
    expect(eventsOf(feed.opening(early))).toEqual(['state']);
    const recent = lastIdOf(heard.at(-400)!);
    expect(eventsOf(feed.opening(recent))).toHaveLength(399);
    change({ notices: [{ id: 'x', text: 'x'.repeat(1_100_000), since: 0 }] });
    expect(eventsOf(feed.opening(recent))).toEqual(['state']);
  });

  it('says absent when the desk goes, and state when another comes, and hears the old one no more', () => {
    const { feed, heard, change, listeners, swap } = open();
    swap(undefined);
    expect(eventsOf(heard.join(''))).toEqual(['absent']);
    expect(listeners.size).toBe(0);
    change({ now: 9 });
    expect(heard).toHaveLength(1);
    const next = createMemoryDesk('training');
    swap(next.desk);
    expect(eventsOf(heard.join(''))).toEqual(['absent', 'state']);
    expect(heard[1]).toContain('"kind":"training"');
    next.change({ now: 7 });
    expect(heard[2]).toContain('{"now":7}');
    feed.close();
    expect(next.listeners.size).toBe(0);
  });
});
