/** Milliseconds since 1970-01-01T00:00:00Z. The only form of time inside; zones live at the edges. */
export type EpochMs = number;

export const secondMs = 1_000;
export const minuteMs = 60_000;
export const hourMs = 3_600_000;
export const dayMs = 86_400_000;

export type Cancel = () => void;

/**
 * The only way to ask for the time or to wait. The live site has the system's clock, a training run
 * a scaled one, tests one that they turn by hand.
 */
export interface Clock {
  now(): EpochMs;
  /** Runs `action` once when the clock reaches now + `delayMs`. */
  after(delayMs: number, action: () => void): Cancel;
  /** Runs `action` each `periodMs` of this clock's time. */
  every(periodMs: number, action: () => void): Cancel;
}
