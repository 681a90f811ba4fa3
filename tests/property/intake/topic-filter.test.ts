import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { topicFilterProblem, topicMatches } from '../../../collector/intake/topic-filter.ts';
import { createTopicMap } from '../../../collector/intake/topic-map.ts';

const word = fc.constantFrom('', 'a', 'b', 'ab', '$SYS', 'ü', ' ');
const topic = fc
  .array(word, { minLength: 1, maxLength: 5 })
  .map((levels) => levels.join('/'))
  .filter((text) => text !== '');
const filter = fc
  .tuple(fc.array(fc.oneof(word, fc.constant('+')), { minLength: 0, maxLength: 4 }), fc.boolean())
  .map(([levels, open]) => [...levels, ...(open ? ['#'] : [])].join('/'))
  .filter((text) => text !== '');

/** Section 4.7 once more, written on lists of levels and not for speed. */
function matchesByLevels(filterText: string, topicText: string): boolean {
  const wanted = filterText.split('/');
  const levels = topicText.split('/');
  if (topicText.startsWith('$') && ['+', '#'].includes(wanted[0] as string)) return false;
  const open = wanted.at(-1) === '#';
  const fixed = open ? wanted.slice(0, -1) : wanted;
  if (open ? levels.length < fixed.length : levels.length !== fixed.length) return false;
  return fixed.every((level, at) => level === '+' || level === levels[at]);
}

describe('laws of topic filters', () => {
  it('agree with section 4.7 written on lists', () => {
    fc.assert(
      fc.property(filter, topic, (filterText, topicText) => {
        expect(topicFilterProblem(filterText)).toBeUndefined();
        expect(topicMatches(filterText, topicText)).toBe(matchesByLevels(filterText, topicText));
      }),
      { seed: 41, numRuns: 3000 },
    );
  });

  it('a topic without wildcards matches itself and only itself', () => {
    fc.assert(
      fc.property(topic, topic, (one, other) => {
        expect(topicMatches(one, other)).toBe(one === other);
      }),
      { seed: 42 },
    );
  });

  it('the map answers as trying every filter does, the first time and from memory', () => {
    fc.assert(
      fc.property(
        fc.array(filter, { maxLength: 8 }),
        fc.array(topic, { maxLength: 8 }),
        (filters, topics) => {
          const map = createTopicMap(filters.map((filterText, value) => ({ filter: filterText, value })));
          for (const topicText of [...topics, ...topics]) {
            const all = filters.flatMap((filterText, value) =>
              topicMatches(filterText, topicText) ? [value] : [],
            );
            expect(map.at(topicText)).toEqual(all);
          }
        },
      ),
      { seed: 43 },
    );
  });
});
