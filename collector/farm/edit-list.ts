import { isDeepStrictEqual } from 'node:util';
import type { Path } from '../../shared/problems/walk.ts';
import { addItem, editYaml, type Written } from './edit-yaml.ts';

type Group = { readonly [key: string]: Written | undefined };

const withoutGaps = (group: Group): Written =>
  Object.fromEntries(Object.entries(group).filter(([, value]) => value !== undefined)) as Written;

/**
 * Makes a list of groups in YAML text into another one. Items that both begin or end with stay as they are, with
 * all that is said beside them; of those between, each takes the values of the one in its place.
 * @param before what stands in the text, at least one
 * @param after what shall stand there, at least one
 */
export function editList(
  text: string,
  path: Path,
  before: readonly Group[],
  after: readonly Group[],
): string {
  const least = Math.min(before.length, after.length);
  let start = 0;
  while (start < least && isDeepStrictEqual(before[start], after[start])) start++;
  let end = 0;
  while (end < least - start && isDeepStrictEqual(before.at(-1 - end), after.at(-1 - end))) end++;
  const [until, wanted] = [before.length - end, after.length - end];

  let edited = text;
  for (let index = start; index < Math.min(until, wanted); index++) {
    const [old, next] = [before[index]!, after[index]!];
    const keys = [...new Set([...Object.keys(next), ...Object.keys(old)])].filter(
      (key) => !isDeepStrictEqual(old[key], next[key]),
    );
    // What is added first keeps a group from vanishing with what is taken out.
    keys.sort((a, b) => Number(next[a] === undefined) - Number(next[b] === undefined));
    for (const key of keys) edited = editYaml(edited, [...path, index, key], next[key]);
  }
  for (let index = until - 1; index >= wanted; index--)
    edited = editYaml(edited, [...path, index], undefined);
  for (let index = until; index < wanted; index++)
    edited = addItem(edited, path, index, withoutGaps(after[index]!));
  return edited;
}
