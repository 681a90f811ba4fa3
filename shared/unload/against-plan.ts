/** Air that is no further than this outside of its plan's band goes as planned [K]: the alarm's own margin. */
const remarkableK = 0.5;

/**
 * Whether the air of a room goes as its unload's plan has it.
 * @param beyondK how far it is outside of the plan's band: above it positive, below negative [K]
 */
export const goesAsPlanned = (beyondK: number): boolean => Math.abs(beyondK) <= remarkableK;

/** What a person should know of that, in sentences; none while it goes as planned or is not known. */
export function airRemarks(beyondK: number | null): string[] {
  if (beyondK === null || goesAsPlanned(beyondK)) return [];
  const away = Math.abs(beyondK).toFixed(1);
  return beyondK > 0
    ? [`The room is ${away} K warmer than the most that was planned.`]
    : [`The room is ${away} K cooler than the least that was planned.`];
}
