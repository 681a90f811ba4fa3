/** What is left of the use-by span once a slow bag is full, as a share of the whole span. Assumed. */
const goodAfterReady = 0.5;
/** Times the use-by span at which spawn can no longer be poured: 21 d where use-by is 14 d. Common practice. */
const unusableFactor = 1.5;

/**
 * Thermal age at which spawn should be used [d at the optimum since inoculation]. Spawn ages as it grows, with
 * temperature; a bag that filled late still gets half of the span.
 * @param useWithinDays the species' span [d at the optimum]
 * @param readyAt thermal age when full
 */
export const useByAge = (useWithinDays: number, readyAt: number): number =>
  Math.max(useWithinDays, readyAt + goodAfterReady * useWithinDays);

/** Thermal age past which it is no longer poured. */
export const unusableAge = (useWithinDays: number, readyAt: number): number =>
  useByAge(useWithinDays, readyAt) + (unusableFactor - 1) * useWithinDays;
