import type { Band } from '../../shared/forecasts.ts';
import { particleCount } from './particles.ts';

/**
 * Particles in rising order of some value. From one step to the next hardly any two change places, so putting
 * them in order again costs one pass; a sort each time would be half of all the work.
 */
export type Ranking = Uint8Array;

const shares = [0.1, 0.5, 0.9] as const;

export function newRanking(): Ranking {
  const ranking = new Uint8Array(particleCount);
  for (let i = 0; i < particleCount; i++) ranking[i] = i;
  return ranking;
}

/** Insertion sort while places change by little; a full sort when they do not. Ties keep the lower index first. */
function order(ranking: Ranking, values: Float64Array): void {
  let moves = 0;
  for (let rank = 1; rank < particleCount; rank++) {
    const index = ranking[rank]!;
    const value = values[index]!;
    let place = rank;
    while (place > 0) {
      const other = ranking[place - 1]!;
      const otherValue = values[other]!;
      if (otherValue < value || (otherValue === value && other < index)) break;
      ranking[place--] = other;
    }
    ranking[place] = index;
    moves += rank - place;
    if (moves > 8 * particleCount) {
      Array.from(ranking)
        .sort((a, b) => (values[a]! === values[b]! ? a - b : values[a]! - values[b]!))
        .forEach((sorted, at) => {
          ranking[at] = sorted;
        });
      return;
    }
  }
}

/**
 * 10, 50 and 90 % points of the particles' values by weight: each value in the middle of its own weight,
 * straight between (as `weightedQuantiles`). Weights add up to 1. Infinity means never and may come out; NaN
 * must weigh nothing.
 */
export function threePoints(
  values: Float64Array,
  weights: Float64Array,
  ranking: Ranking = newRanking(),
): Band {
  order(ranking, values);
  const found = [Number.NaN, Number.NaN, Number.NaN];
  let wanted = 0;
  let before = 0;
  let lastMiddle = Number.NaN;
  let lastValue = Number.NaN;
  for (let rank = 0; rank < particleCount && wanted < 3; rank++) {
    const index = ranking[rank]!;
    const weight = weights[index]!;
    if (weight === 0) continue;
    const value = values[index]!;
    const middle = before + weight / 2;
    while (wanted < 3 && middle >= shares[wanted]!) {
      const part = (shares[wanted]! - lastMiddle) / (middle - lastMiddle);
      found[wanted++] =
        Number.isNaN(lastMiddle) || lastValue === value ? value : lastValue + part * (value - lastValue);
    }
    before += weight;
    lastMiddle = middle;
    lastValue = value;
  }
  while (wanted < 3) found[wanted++] = lastValue;
  return { low: found[0]!, likely: found[1]!, high: found[2]! };
}
