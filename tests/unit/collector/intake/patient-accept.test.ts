import { describe, expect, it } from 'vitest';
import { createPatientAccept } from '../../../../collector/intake/patient-accept.ts';
import { createManualClock } from '../../../../shared/manual-clock.ts';

function rig() {
  const clock = createManualClock(0);
  const taken: string[] = [];
  const told: (string | undefined)[] = [];
  const settled: [string, boolean][] = [];
  const disk = { full: false, tries: 0 };
  const gate = createPatientAccept({
    clock,
    accept(message) {
      disk.tries++;
      if (disk.full) throw new Error('disk full');
      taken.push(message.topic);
    },
    onHolding: (reason) => told.push(reason),
  });
  const offer = (topic: string, stale = () => false) => {
    const message = { topic, payload: Buffer.from(''), retained: false, receivedAt: 0 };
    if (gate.take(message)) settled.push([topic, true]);
    else gate.hold({ message, stale, settle: (stored) => settled.push([topic, stored]) });
  };
  return { clock, taken, told, settled, disk, gate, offer };
}

describe('while the store refuses', () => {
  it('holds in order, tries each second, and goes on by itself', () => {
    const { clock, taken, told, settled, disk, offer } = rig();
    offer('one');
    disk.full = true;
    offer('two');
    offer('three');
    clock.advanceBy(10_000);
    // One try with the message, ten retries; what waits behind it is not tried out of turn.
    expect(disk.tries).toBe(12);
    expect(settled).toEqual([['one', true]]);
    disk.full = false;
    offer('four');
    expect(taken).toEqual(['one']);
    clock.advanceBy(1000);
    expect(taken).toEqual(['one', 'two', 'three', 'four']);
    expect(settled.map(([topic]) => topic)).toEqual(taken);
    expect(told.at(0)).toBe('disk full');
    expect(told.at(-1)).toBeUndefined();
    offer('five');
    expect(taken.at(-1)).toBe('five');
    expect(clock.pending).toBe(0);
  });

  it('gives up, unacknowledged, what came by a connection that is gone', () => {
    const { clock, taken, settled, disk, offer } = rig();
    disk.full = true;
    offer('old', () => true);
    offer('new');
    disk.full = false;
    clock.advanceBy(1000);
    expect(taken).toEqual(['new']);
    expect(settled).toEqual([
      ['old', false],
      ['new', true],
    ]);
  });

  it('acknowledges nothing that is still held when it closes', () => {
    const { clock, settled, disk, gate, offer } = rig();
    disk.full = true;
    offer('one');
    gate.close();
    expect(settled).toEqual([['one', false]]);
    expect(clock.pending).toBe(0);
  });
});
