import { describe, expect, it } from 'vitest';
import { nothingThere, parseJsonPointer, resolveJsonPointer } from '../../collector/intake/json-pointer.ts';

const at = (document: unknown, pointer: string): unknown => {
  const parsed = parseJsonPointer(pointer);
  if (!parsed.ok) throw new Error(parsed.problem);
  return resolveJsonPointer(document, parsed.tokens);
};

// Source: RFC 6901 section 5: the document and its twelve pointers.
const document = {
  foo: ['bar', 'baz'],
  '': 0,
  'a/b': 1,
  'c%d': 2,
  'e^f': 3,
  'g|h': 4,
  'i\\j': 5,
  'k"l': 6,
  ' ': 7,
  'm~n': 8,
};
const twelve: [pointer: string, value: unknown][] = [
  ['', document],
  ['/foo', ['bar', 'baz']],
  ['/foo/0', 'bar'],
  ['/', 0],
  ['/a~1b', 1],
  ['/c%d', 2],
  ['/e^f', 3],
  ['/g|h', 4],
  ['/i\\j', 5],
  ['/k"l', 6],
  ['/ ', 7],
  ['/m~0n', 8],
];

describe('RFC 6901', () => {
  it.each(twelve)('section 5: %j', (pointer, value) => {
    expect(at(document, pointer)).toEqual(value);
  });

  it('section 4: ~01 is ~1 and not /', () => {
    expect(at({ '~1': 'right', '/': 'wrong' }, '/~01')).toBe('right');
  });

  it.each(['/foo/00', '/foo/01', '/foo/-', '/foo/2', '/foo/1.0', '/foo/length', '/foo/0/0', '/none/x'])(
    'section 4: nothing at %j',
    (pointer) => {
      expect(at(document, pointer)).toBe(nothingThere);
    },
  );

  it.each(['foo', '/a~b', '/a~', '/~2', '#/foo'])('section 3: %j is no pointer', (pointer) => {
    expect(parseJsonPointer(pointer)).toEqual({ ok: false, problem: expect.any(String) });
  });

  it('tells a null from nothing there', () => {
    expect(at({ t: null }, '/t')).toBeNull();
  });

  it.each(['/__proto__', '/constructor', '/toString', '/foo/constructor/prototype', '/__proto__/polluted'])(
    'reaches nothing inherited by %j',
    (pointer) => {
      expect(at({ foo: {} }, pointer)).toBe(nothingThere);
      expect(at([], pointer)).toBe(nothingThere);
    },
  );
});
