/** Mean of a sample; NaN of none. */
export function meanOf(values: ArrayLike<number>): number {
  let sum = 0;
  for (let index = 0; index < values.length; index++) sum += values[index]!;
  return sum / values.length;
}

/** Mean of those in [from, until) that are known, whichever part of it there is; NaN where none is. */
export function meanOfKnown(values: ArrayLike<number>, from = 0, until = values.length): number {
  let sum = 0;
  let count = 0;
  for (let index = Math.max(0, from); index < Math.min(values.length, until); index++)
    if (Number.isFinite(values[index]!)) {
      sum += values[index]!;
      count++;
    }
  return sum / count;
}
