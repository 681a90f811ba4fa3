import { describe, expect, it } from 'vitest';
import { nextInLine } from '../../../../alerts/definitions/next-in-line.ts';

const line = (count: number) => Array.from({ length: count }, (_, at) => ({ id: `s${at}` }));
const idsNextTo = (count: number, at: number) =>
  nextInLine(line(count), { id: `s${at}` })
    .map(({ id }) => id)
    .sort();

describe('neighbours of a sensor', () => {
  it('are all the others where there are few', () => {
    expect(idsNextTo(1, 0)).toEqual([]);
    expect(idsNextTo(9, 4)).toEqual(['s0', 's1', 's2', 's3', 's5', 's6', 's7', 's8']);
  });

  it('are the four before and the four behind in a long line, which closes to a ring', () => {
    expect(idsNextTo(200, 100)).toEqual(['s101', 's102', 's103', 's104', 's96', 's97', 's98', 's99']);
    expect(idsNextTo(200, 0)).toEqual(['s1', 's196', 's197', 's198', 's199', 's2', 's3', 's4']);
  });

  it('never let one reading concern more than eight others', () => {
    const concerned = new Map<string, number>();
    for (const one of line(200))
      for (const { id } of nextInLine(line(200), one)) concerned.set(id, (concerned.get(id) ?? 0) + 1);
    expect([...new Set(concerned.values())]).toEqual([8]);
  });
});
