import { hasWildcard, topicMatches } from './topic-filter.ts';

/** So that a stranger who publishes under ever new topics cannot fill the memory. */
const maxRemembered = 10_000;

export interface TopicMap<T> {
  /** Everything placed under filters that match this topic, in the order given; empty when none does. */
  at(topic: string): readonly T[];
  filters: readonly string[];
}

/** From topics to what hangs there. Answers are remembered, so that a filter is tried once per topic. */
export function createTopicMap<T>(entries: readonly { filter: string; value: T }[]): TopicMap<T> {
  const wild = entries.some((entry) => hasWildcard(entry.filter));
  const exact = new Map<string, T[]>();
  for (const { filter, value } of entries) {
    const there = exact.get(filter);
    if (there) there.push(value);
    else exact.set(filter, [value]);
  }
  const filters = [...exact.keys()];
  if (!wild) return { at: (topic) => exact.get(topic) ?? [], filters };

  const remembered = new Map<string, readonly T[]>();
  const search = (topic: string): readonly T[] => {
    if (remembered.size >= maxRemembered) remembered.clear();
    const found = entries.filter((entry) => topicMatches(entry.filter, topic)).map((entry) => entry.value);
    remembered.set(topic, found);
    return found;
  };
  return { at: (topic) => remembered.get(topic) ?? search(topic), filters };
}
