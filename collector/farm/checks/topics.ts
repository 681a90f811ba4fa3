/**
 * What is wrong with an MQTT topic filter after OASIS MQTT 5.0, section 4.7, or undefined when it is sound.
 */
export function topicTrouble(topic: string): { wanted: string; mend: string } | undefined {
  const levels = topic.split('/');
  // biome-ignore lint/suspicious/noControlCharactersInRegex: control characters are what is looked for.
  if (/[\u0000-\u001f\u007f]/.test(topic))
    return { wanted: 'a topic of printable characters', mend: 'remove the control characters' };
  if (topic !== topic.trim())
    return { wanted: 'a topic without spaces at its ends', mend: 'remove the spaces' };
  const hash = levels.findIndex((level) => level.includes('#'));
  if (hash >= 0 && (levels[hash] !== '#' || hash !== levels.length - 1))
    return {
      wanted: '# alone as the last level',
      mend: `write ${[...levels.slice(0, hash), '#'].join('/')}`,
    };
  const plus = levels.findIndex((level) => level.includes('+') && level !== '+');
  if (plus >= 0)
    return {
      wanted: '+ alone in its level',
      mend: `write ${levels.map((level, index) => (index === plus ? '+' : level)).join('/')}`,
    };
  if (levels[0] === '$share')
    return {
      wanted: 'a topic of its own, since a shared subscription gives this site only some of the messages',
      mend: `write ${levels.slice(2).join('/') || 'the topic itself'}`,
    };
  return undefined;
}

/** What is wrong with a JSON Pointer after RFC 6901, section 3, or undefined when it is sound. */
export function pointerTrouble(pointer: string): { wanted: string; mend: string } | undefined {
  if (pointer !== '' && !pointer.startsWith('/'))
    return {
      wanted: 'a JSON Pointer: each step after a slash',
      mend: `write /${pointer.replace(/^\$?\.?/, '').replaceAll('.', '/')}`,
    };
  if (/~(?![01])/.test(pointer))
    return { wanted: 'a JSON Pointer', mend: 'write ~0 for a tilde and ~1 for a slash within a name' };
  return undefined;
}
