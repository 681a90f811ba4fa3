import { parseJsonPointer } from '../../intake/json-pointer.ts';
import { topicFilterProblem } from '../../intake/topic-filter.ts';

export interface Trouble {
  wanted: string;
  mend: string;
}

/** What is wrong with the topic of a sensor, or undefined when it is sound. */
export function topicTrouble(topic: string): Trouble | undefined {
  // biome-ignore lint/suspicious/noControlCharactersInRegex: control characters are what is looked for.
  if (/[\u0000-\u001f\u007f]/.test(topic))
    return { wanted: 'a topic of printable characters', mend: 'remove the control characters' };
  if (topic !== topic.trim())
    return { wanted: 'a topic without spaces at its ends', mend: 'remove the spaces' };
  const problem = topicFilterProblem(topic);
  return problem === undefined ? undefined : { wanted: `a sound topic (${problem})`, mend: mendTopic(topic) };
}

function mendTopic(topic: string): string {
  const levels = topic.split('/');
  if (levels[0] === '$share') return `write ${levels.slice(2).join('/') || 'the topic itself'}`;
  const hash = levels.findIndex((level) => level.includes('#'));
  const kept = hash < 0 ? levels : [...levels.slice(0, hash), '#'];
  return `write ${kept.map((level) => (level.includes('+') ? '+' : level)).join('/')}`;
}

/** What is wrong with a JSON Pointer, or undefined when it is sound. */
export function pointerTrouble(pointer: string): Trouble | undefined {
  if (parseJsonPointer(pointer).ok) return undefined;
  const begun = pointer.startsWith('/');
  const steps = begun ? pointer : `/${pointer.replace(/^\$?\.?/, '').replaceAll('.', '/')}`;
  return {
    wanted: begun
      ? 'a JSON pointer, in which ~ is written ~0 and a / within a name ~1'
      : 'a JSON pointer: empty, or a slash before each step',
    mend: `write ${steps.replaceAll(/~(?![01])/g, '~0')}`,
  };
}
