/** A change as it was journalled, in one line: `role operator, disabled no`. */
export function changeWords(value: unknown): string {
  if (value === null || value === undefined) return '';
  if (typeof value === 'boolean') return value ? 'yes' : 'no';
  if (Array.isArray(value)) return value.map(changeWords).join(', ');
  if (typeof value !== 'object') return String(value);
  return Object.entries(value)
    .map(([name, held]) => `${wordsOf(name)} ${changeWords(held) || '–'}`)
    .join(', ');
}

/** `mayAcknowledge` -> `may acknowledge`. */
const wordsOf = (name: string): string => name.replace(/[A-Z]/g, (letter) => ` ${letter.toLowerCase()}`);
