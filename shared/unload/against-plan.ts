/** Air that is no further than this outside of its plan's band goes as planned [K]: the alarm's own margin. */
const remarkableK = 0.5;

/**
 * Whether the air of a room goes as its unload's plan has it.
 * @param beyondK how far it is outside of the plan's band: above it positive, below negative [K]
 */
export const goesAsPlanned = (beyondK: number): boolean => Math.abs(beyondK) <= remarkableK;

/**
 * What a person should know of that, in a sentence, and whether it is good news; null while it goes as planned or is
 * not known.
 */
export function airNews(beyondK: number | null): { words: string; good: boolean } | null {
  if (beyondK === null || goesAsPlanned(beyondK)) return null;
  const away = Math.abs(beyondK).toFixed(1);
  return beyondK > 0
    ? { words: `The room is ${away} K warmer than the most that was planned.`, good: false }
    : { words: `The room is ${away} K cooler than the least that was planned.`, good: true };
}
