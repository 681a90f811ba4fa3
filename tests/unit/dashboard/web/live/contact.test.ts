import { describe, expect, it } from 'vitest';
import { contactAfter, startOfContact } from '../../../../../dashboard/web/live/contact.ts';

const start = startOfContact(0);

describe('contact', () => {
  it('is live as soon as anything is heard', () => {
    const { contact, reopenInMs } = contactAfter(start, { kind: 'heard', t: 300 });
    expect(contact).toMatchObject({ phase: 'live', lastHeardAt: 300 });
    expect(reopenInMs).toBeNull();
  });

  it('mends a short break without a word', () => {
    const live = contactAfter(start, { kind: 'heard', t: 1_000 }).contact;
    const { contact, reopenInMs } = contactAfter(live, { kind: 'broke', t: 1_200 });
    expect(contact.phase).toBe('live');
    expect(reopenInMs).toBe(500);
  });

  it('is lost within 10 s of the last word, and remembers when that was', () => {
    let contact = contactAfter(start, { kind: 'heard', t: 1_000 }).contact;
    let lostAt: number | null = null;
    for (let t = 2_000; t <= 12_000 && lostAt === null; t += 1_000) {
      contact = contactAfter(contact, { kind: 'tick', t }).contact;
      if (contact.phase === 'lost') lostAt = t;
    }
    expect(lostAt).toBe(10_000);
    expect(contact.lastHeardAt).toBe(1_000);
  });

  it('opens a hung stream anew, and again while that hangs too', () => {
    const reopened: number[] = [];
    let contact = contactAfter(start, { kind: 'heard', t: 0 }).contact;
    for (let t = 1_000; t <= 30_000; t += 1_000) {
      const step = contactAfter(contact, { kind: 'tick', t });
      contact = step.contact;
      if (step.reopenInMs !== null) reopened.push(t);
    }
    expect(reopened).toEqual([9_000, 18_000, 27_000]);
  });

  it('waits longer with each refusal, up to 3 s, and starts afresh once heard', () => {
    let contact = start;
    const waits: (number | null)[] = [];
    for (let at = 0; at < 6; at += 1) {
      const step = contactAfter(contact, { kind: 'broke', t: 100 });
      contact = step.contact;
      waits.push(step.reopenInMs);
    }
    expect(waits).toEqual([500, 1_000, 2_000, 3_000, 3_000, 3_000]);
    contact = contactAfter(contact, { kind: 'heard', t: 200 }).contact;
    expect(contactAfter(contact, { kind: 'broke', t: 300 }).reopenInMs).toBe(500);
  });

  it('stays lost through refusals until something is heard', () => {
    const lost = contactAfter(start, { kind: 'tick', t: 9_000 }).contact;
    expect(contactAfter(lost, { kind: 'broke', t: 9_100 }).contact.phase).toBe('lost');
    expect(contactAfter(lost, { kind: 'heard', t: 9_200 }).contact.phase).toBe('live');
  });
});
