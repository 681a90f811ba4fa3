/** Longest topic or filter in UTF-8 bytes, OASIS MQTT 5.0 section 4.7.3. */
const maxTopicBytes = 65_535;

const tooLong = (text: string): boolean =>
  // A UTF-16 unit is at most three bytes of UTF-8, so short texts need no encoding.
  text.length * 3 > maxTopicBytes && new TextEncoder().encode(text).length > maxTopicBytes;

function commonProblem(what: string, text: string): string | undefined {
  if (text.length === 0) return `a ${what} has at least one character`;
  if (text.includes('\0')) return `a ${what} may not hold the null character`;
  // With the u flag this matches only half a pair.
  if (/[\ud800-\udfff]/u.test(text)) return `a ${what} must be well-formed Unicode`;
  if (tooLong(text)) return `a ${what} is at most ${maxTopicBytes} bytes long`;
  return undefined;
}

/** What is wrong with a topic name (one that is published to), or undefined. OASIS MQTT 5.0 section 4.7. */
export function topicProblem(topic: string): string | undefined {
  const common = commonProblem('topic', topic);
  if (common) return common;
  return /[+#]/.test(topic) ? 'a topic that is published to may not hold the wildcards + and #' : undefined;
}

/**
 * What is wrong with a topic filter, or undefined. OASIS MQTT 5.0 sections 4.7.1 and 4.7.3;
 * shared subscriptions (4.8.2) are refused, as a reading must reach this collector and no other in its stead.
 */
export function topicFilterProblem(filter: string): string | undefined {
  const common = commonProblem('topic filter', filter);
  if (common) return common;
  if (filter.startsWith('$share/')) return 'a shared subscription ($share/...) is not supported here';
  const levels = filter.split('/');
  for (const [at, level] of levels.entries()) {
    if (level.includes('#') && (level !== '#' || at !== levels.length - 1))
      return '# must stand alone in the last level, as in rooms/#';
    if (level.includes('+') && level !== '+') return '+ must fill a whole level, as in rooms/+/temperature';
  }
  return undefined;
}

export const hasWildcard = (filter: string): boolean => filter.includes('+') || filter.includes('#');

/**
 * Whether a valid filter matches a topic name, OASIS MQTT 5.0 section 4.7: `+` is one level, `#` the parent
 * and everything below, and a leading wildcard never matches a topic that begins with `$`.
 */
export function topicMatches(filter: string, topic: string): boolean {
  if (topic.startsWith('$') && (filter.startsWith('+') || filter.startsWith('#'))) return false;
  let f = 0;
  let t = 0;
  for (;;) {
    const filterEnd = levelEnd(filter, f);
    if (filter[f] === '#' && filterEnd === f + 1) return true;
    const topicEnd = levelEnd(topic, t);
    const single = filter[f] === '+' && filterEnd === f + 1;
    if (!single && !sameSpan(filter, f, filterEnd, topic, t, topicEnd)) return false;
    const filterDone = filterEnd === filter.length;
    if (topicEnd === topic.length) return filterDone || filter.slice(filterEnd) === '/#';
    if (filterDone) return false;
    f = filterEnd + 1;
    t = topicEnd + 1;
  }
}

function levelEnd(text: string, from: number): number {
  const slash = text.indexOf('/', from);
  return slash === -1 ? text.length : slash;
}

function sameSpan(a: string, aFrom: number, aTo: number, b: string, bFrom: number, bTo: number): boolean {
  return aTo - aFrom === bTo - bFrom && b.startsWith(a.slice(aFrom, aTo), bFrom);
}
