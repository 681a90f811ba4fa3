import { shakeBestAt, shakeOpensAt, shakeWorthDays } from '../../shared/growth/shake.ts';
import { type Particles, particleCount } from './particles.ts';
import { reachesAt, readyIfShaken, type Spells, shareOf } from './spells.ts';

/** Thermal times, each particle's own, at which things come about if nobody touches the bag. */
export interface Targets {
  opens: Float64Array;
  best: Float64Array;
  ready: Float64Array;
  /** Thermal days that a shake at the best time gains. */
  gainAtBest: Float64Array;
  /** Thermal days that a shake must gain to be worth it. */
  worth: number;
}

const halvings = 12;

/** Thermal days that a shake at a thermal time gains for one particle. */
function gainOf(
  spells: Spells,
  particles: Particles,
  i: number,
  theta: number,
  readyUntouched: number,
): number {
  return readyUntouched - readyIfShaken(particles, i, theta, shareOf(spells, particles, i, theta));
}

/** Thermal times at which a shake no longer gains enough; NaN for a particle that no shake helps. */
export function closesOf(
  spells: Spells,
  particles: Particles,
  { best, ready, gainAtBest, worth }: Targets,
): Float64Array {
  return best.map((from, i) => {
    if (gainAtBest[i]! < worth) return Number.NaN;
    let low = from;
    let high = ready[i]!;
    for (let halving = 0; halving < halvings; halving++) {
      const middle = (low + high) / 2;
      if (gainOf(spells, particles, i, middle, ready[i]!) < worth) high = middle;
      else low = middle;
    }
    return (low + high) / 2;
  });
}

/** @param pace thermal days that a day brings, to tell what a day's gain is worth */
export function targetsOf(spells: Spells, particles: Particles, pace: number): Targets {
  const column = () => new Float64Array(particleCount);
  const targets: Targets = {
    opens: column(),
    best: column(),
    ready: column(),
    gainAtBest: column(),
    worth: shakeWorthDays * pace,
  };
  for (let i = 0; i < particleCount; i++) {
    const ready = reachesAt(spells, particles, i, particles.fullAt[i]!);
    const best = reachesAt(spells, particles, i, shakeBestAt);
    targets.opens[i] = reachesAt(spells, particles, i, shakeOpensAt);
    targets.best[i] = best;
    targets.ready[i] = ready;
    targets.gainAtBest[i] = gainOf(spells, particles, i, best, ready);
  }
  return targets;
}
