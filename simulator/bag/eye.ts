import { createRandom, seedOf } from '../random.ts';

const logit = (share: number) => Math.log(share / (1 - share));
const fromLogit = (value: number) => 1 / (1 + Math.exp(-value));

/** At this share of what shows, people call a bag full. */
const fullToSee = 0.95;

/**
 * What a person says of a bag of which `visible` is colonized, 0-1. Each person leans to one side by a
 * standing amount, errs besides, and speaks in twentieths. The same person says the same of the same
 * bag at the same time (`occasion`).
 */
export function guessShare(visible: number, who: string, seed: number, occasion: string): number {
  if (visible < 0.015) return 0;
  const leaning = createRandom(seedOf(seed, 'leaning', who)).normal(0, 0.22);
  const random = createRandom(seedOf(seed, 'look', who, occasion));
  if (visible >= fullToSee) return random.chance(0.93) ? 1 : 0.95;
  const guess = fromLogit(logit(Math.min(0.99, visible)) + leaning + random.normal(0, 0.28));
  return Math.min(0.95, Math.round(guess * 20) / 20);
}
