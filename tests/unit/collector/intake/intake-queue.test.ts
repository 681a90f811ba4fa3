import { describe, expect, it } from 'vitest';
import { createIntakeQueue } from '../../../../collector/intake/intake-queue.ts';
import { createManualClock } from '../../../../shared/manual-clock.ts';
import type { AcceptMessage, InboundMessage } from '../../../../shared/ports.ts';

interface Ticket {
  name: string;
  gone: boolean;
}

function rig({ together = true } = {}) {
  const clock = createManualClock(0);
  const commits: string[][] = [];
  const told: (string | undefined)[] = [];
  const settled: [string, boolean][] = [];
  const disk = { full: false, tries: 0, empties: 0 };
  const take = (messages: readonly InboundMessage[]) => {
    disk.tries++;
    if (disk.full) throw new Error('disk full');
    commits.push(messages.map((message) => message.topic));
  };
  const one: AcceptMessage = (message) => take([message]);
  const queue = createIntakeQueue<Ticket>({
    clock,
    accept: together ? Object.assign(one, { all: take }) : one,
    stale: (ticket) => ticket.gone,
    settle: (ticket, stored) => settled.push([ticket.name, stored]),
    onEmpty: () => disk.empties++,
    onHolding: (reason) => told.push(reason),
  });
  const offer = (name: string): Ticket => {
    const ticket = { name, gone: false };
    queue.offer({ topic: name, payload: Buffer.from(''), retained: false, receivedAt: 0 }, ticket);
    return ticket;
  };
  const turn = () => new Promise((resolve) => setImmediate(resolve));
  return { clock, commits, told, settled, disk, queue, offer, turn };
}

describe('the queue to the disk', () => {
  it('takes what came in one turn in one commit, and settles it after', async () => {
    const { commits, settled, disk, offer, turn } = rig();
    offer('one');
    offer('two');
    expect(settled).toEqual([]);
    await turn();
    offer('three');
    await turn();
    expect(commits).toEqual([['one', 'two'], ['three']]);
    expect(settled).toEqual([
      ['one', true],
      ['two', true],
      ['three', true],
    ]);
    expect(disk.empties).toBe(2);
  });

  it('does not wait for the turn to end when very much comes', () => {
    const { commits, offer } = rig();
    for (let at = 0; at < 4500; at++) offer(String(at));
    expect(commits.map((commit) => commit.length)).toEqual([2000, 2000]);
  });

  it('offers one by one where there is no way to take several', async () => {
    const { commits, offer, turn } = rig({ together: false });
    offer('one');
    offer('two');
    await turn();
    expect(commits).toEqual([['one'], ['two']]);
  });
});

describe('while the store refuses', () => {
  it('holds in order, tries each second, and goes on by itself', async () => {
    const { clock, commits, told, settled, disk, queue, offer, turn } = rig();
    disk.full = true;
    offer('one');
    offer('two');
    await turn();
    expect(queue.refusing()).toBe(true);
    offer('three');
    await turn();
    clock.advanceBy(10_000);
    expect(disk.tries).toBe(11);
    expect(settled).toEqual([]);
    expect(disk.empties).toBe(0);
    disk.full = false;
    clock.advanceBy(1000);
    expect(commits).toEqual([['one', 'two', 'three']]);
    expect(settled).toHaveLength(3);
    expect([told.at(0), told.at(-1)]).toEqual(['disk full', undefined]);
    expect(queue.refusing()).toBe(false);
    offer('four');
    await turn();
    expect(commits.at(-1)).toEqual(['four']);
    expect(clock.pending).toBe(0);
  });

  it('settles what was stored before it began to refuse', async () => {
    const { commits, settled, disk, offer, turn } = rig({ together: false });
    const tries = { until: 2 };
    Object.defineProperty(disk, 'full', { get: () => disk.tries > tries.until });
    for (const name of ['one', 'two', 'three']) offer(name);
    await turn();
    expect(commits).toEqual([['one'], ['two']]);
    expect(settled).toEqual([
      ['one', true],
      ['two', true],
    ]);
  });

  it('gives up, unacknowledged, what came by a connection that is gone', async () => {
    const { clock, commits, settled, disk, offer, turn } = rig();
    disk.full = true;
    const old = offer('old');
    offer('new');
    await turn();
    old.gone = true;
    disk.full = false;
    clock.advanceBy(1000);
    expect(commits).toEqual([['new']]);
    expect(settled).toEqual([
      ['old', false],
      ['new', true],
    ]);
  });

  it('stores what it can when it closes, and acknowledges nothing else', async () => {
    const { commits, settled, disk, queue, clock, offer } = rig();
    offer('one');
    queue.close();
    expect(commits).toEqual([['one']]);
    const second = rig();
    second.disk.full = true;
    second.offer('two');
    second.queue.close();
    expect(second.settled).toEqual([['two', false]]);
    expect([clock.pending, second.clock.pending]).toEqual([0, 0]);
    expect(settled).toEqual([['one', true]]);
    expect(disk.empties).toBe(1);
    expect(second.disk.empties).toBe(0);
  });
});
