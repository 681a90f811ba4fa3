/** Something that is learned hour by hour, as known at the start of each; hours since the epoch. */
export interface Hourly<T> {
  at(hour: number): T;
  /** Hour that is not learned yet; NaN before any. */
  learnedTo(): number;
  /** Something in an hour is known otherwise now. */
  reopen(hour: number): void;
  dropBefore(hour: number): void;
}

/** Old states are let go of a week at a time. */
const droppedHours = 7 * 24;

/**
 * @param first before anything is known
 * @param firstHour the first of which anything is; infinite while nothing is
 * @param next what one more hour makes of it; states never change, so keeping them costs little
 */
export function createHourly<T>(
  first: T,
  firstHour: () => number,
  next: (before: T, hour: number) => T,
): Hourly<T> {
  let states: T[] = [];
  let base = Number.NaN;

  const learn = (until: number): void => {
    if (states.length === 0) {
      base = firstHour();
      if (!(base <= until)) return;
      states.push(first);
    }
    for (let hour = base + states.length - 1; hour < until; hour++) states.push(next(states.at(-1)!, hour));
  };

  return {
    at(hour) {
      if (!(hour < base + states.length)) learn(hour);
      return states[Math.max(0, hour - base)] ?? first;
    },
    learnedTo: () => base + states.length - 1,
    reopen(hour) {
      if (!(hour >= base)) states = [];
      else states.length = Math.min(states.length, hour - base + 1);
    },
    dropBefore(hour) {
      if (!(hour - base > droppedHours && hour < base + states.length)) return;
      states = states.slice(hour - base);
      base = hour;
    },
  };
}
