import { passwordLength } from '../../../shared/door-names.ts';

export type Strength = 'short' | 'weak' | 'fair' | 'strong';

/** What a guesser knows: rows and columns of a keyboard and the alphabet, either way round. */
const letters = ['qwertyuiop', 'asdfghjkl', 'zxcvbnm', 'abcdefghijklmnopqrstuvwxyz'];
const columns = ['qaz', 'wsx', 'edc', 'rfv', 'tgb', 'yhn', 'ujm'];
const rows = [...letters, ...columns, '01234567890'];
const runs = [...rows, ...rows.map((row) => [...row].reverse().join(''))];
const leastRun = 3;

/** Bits of one word of a dictionary of some eight thousand, and of a letter that follows no word. */
const wordBits = 13;
const letterBits = Math.log2(26);
const lettersPerWord = 8;
const digitBits = Math.log2(10);
const otherBits = 5;
/** A year, whatever its digits. */
const yearBits = 6;
const caseBits = 1;

const isRun = (text: string): boolean => runs.some((row) => row.includes(text));

/** Length of the run or repetition that begins at a place; 1 where there is none. */
function runLength(text: string, from: number): number {
  let same = from + 1;
  while (same < text.length && text[same] === text[from]) same++;
  if (same - from >= leastRun) return same - from;
  let to = from + leastRun;
  if (to > text.length || !isRun(text.slice(from, to))) return 1;
  while (to < text.length && isRun(text.slice(from, to + 1))) to++;
  return to - from;
}

/** The password with each run as its first character, so that its length adds nothing. */
function withoutRuns(text: string): string {
  let left = '';
  for (let at = 0; at < text.length; at += runLength(text, at)) left += text[at];
  return left;
}

/**
 * Bits that somebody has to guess who knows how people choose: words, years, runs and repetitions count little,
 * however long. A rough lower bound, by arithmetic of our own; only the browser ever sees what it judges.
 */
export const bitsOf = (password: string, name = ''): number =>
  Math.min(bitsAsTyped(password, name), bitsAsTyped(unwoven(password), name));

/** Every second character, then those between: `q1w2e3r4` is `qwer` and `1234`. */
function unwoven(password: string): string {
  const parts = [...password];
  return [0, 1].map((first) => parts.filter((_, at) => at % 2 === first).join('')).join(' ');
}

function bitsAsTyped(password: string, name: string): number {
  const lower = password.normalize('NFKC').toLowerCase();
  const own = name.normalize('NFKC').toLowerCase();
  const left = withoutRuns(own === '' ? lower : lower.replaceAll(own, ' '));
  let bits = /\p{Lu}/u.test(password) && /\p{Ll}/u.test(password) ? caseBits : 0;
  const seen = new Set<string>();
  for (const [part] of left.matchAll(/\p{L}+|\p{N}+|[^\p{L}\p{N}\s]+/gu)) {
    // Said twice is known after once.
    if (seen.has(part)) continue;
    seen.add(part);
    if (/^\p{L}/u.test(part))
      bits += Math.min(part.length * letterBits, wordBits * Math.ceil(part.length / lettersPerWord));
    else if (/^(19|20)\d\d$/.test(part)) bits += yearBits;
    else bits += part.length * (/^\p{N}/u.test(part) ? digitBits : otherBits);
  }
  return bits;
}

/** Bounds [bits]: a year of a thousand guesses a second is 35; four words are over 45. */
const fairFrom = 30;
const strongFrom = 40;

/** How strong a new password seems. */
export function strengthOf(password: string, name = ''): Strength {
  if ([...password.normalize('NFKC')].length < passwordLength.least) return 'short';
  const bits = bitsOf(password, name);
  if (bits < fairFrom) return 'weak';
  return bits < strongFrom ? 'fair' : 'strong';
}
