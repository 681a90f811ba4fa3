/** A sensor is silent once this many of its expected periods have passed without a sign of life. */
export const silentPeriods = 2;

/**
 * Whether a sensor has fallen silent by `now`, judged by the clock and not by readings.
 * `heardAt` is when a message of it last arrived; a retained message is no sign of life, so whoever
 * keeps `heardAt` leaves those out.
 */
export const isSilent = (heardAt: number, everyMs: number, now: number): boolean =>
  now - heardAt > silentPeriods * everyMs;
