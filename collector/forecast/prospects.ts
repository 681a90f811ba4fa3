import type { CohortRun } from './cohort-run.ts';
import { type Particles, particleCount } from './particles.ts';
import { newRanking, type Ranking, threePoints } from './quantiles.ts';
import type { Spells } from './spells.ts';
import { closesOf, type Targets, targetsOf } from './targets.ts';

/** What hangs on the particles alone and not on the hour: worked out at each look and shake, and once a day. */
export interface Prospects {
  targets: Targets;
  /** Where a shake no longer gains enough, by particle; worked out when first asked for. */
  closes(): Float64Array;
  /** Weights of the particles that a shake would help enough, 0 for the others, adding up to 1; none when too few. */
  helped: Float64Array | undefined;
  /** Likely thermal age when ready. */
  readyAge: number;
  /** Thermal days that a shake at the best time would likely gain. */
  gainAtBest: number;
  /** Orders of the particles by what is asked for at every step. */
  ranked: { share: Ranking; ready: Ranking; opens: Ranking; best: Ranking; closes: Ranking; gain: Ranking };
  /** Rows of the outlook in which they were found at the step before. */
  rows: { ready: Uint8Array; opens: Uint8Array; best: Uint8Array; closes: Uint8Array };
}

const cached = new WeakMap<Spells, { pace: number; weight: Float64Array; prospects: Prospects }>();

/** Thermal days that a day brought so far, in tenths from 0.1 on, as of the last midnight: it must not flicker. */
function paceOf({ daily }: CohortRun): number {
  const days = daily.length;
  if (days < 2) return 0.9;
  return Math.max(0.1, Math.round((10 * (daily[days - 1]! - daily[0]!)) / (days - 1)) / 10);
}

export function prospectsOf(run: CohortRun, particles: Particles): Prospects {
  const pace = paceOf(run);
  const { weight } = particles;
  const { spells } = run;
  const found = cached.get(spells);
  if (found?.pace === pace && found.weight === weight) return found.prospects;

  const targets = found?.pace === pace ? found.prospects.targets : targetsOf(spells, particles, pace);
  const helped = weight.slice();
  let total = 0;
  for (let i = 0; i < particleCount; i++) {
    if (targets.gainAtBest[i]! < targets.worth) helped[i] = 0;
    total += helped[i]!;
  }
  for (let i = 0; i < particleCount; i++) helped[i]! /= total;
  let closes: Float64Array | undefined;
  const rows = () => new Uint8Array(particleCount);
  const prospects: Prospects = {
    targets,
    closes: () => {
      closes ??= closesOf(spells, particles, targets);
      return closes;
    },
    helped: total < 0.5 ? undefined : helped,
    readyAge: threePoints(targets.ready, weight).likely,
    gainAtBest: threePoints(targets.gainAtBest, weight).likely,
    ranked: {
      share: newRanking(),
      ready: newRanking(),
      opens: newRanking(),
      best: newRanking(),
      closes: newRanking(),
      gain: newRanking(),
    },
    rows: { ready: rows(), opens: rows(), best: rows(), closes: rows() },
  };
  cached.set(spells, { pace, weight, prospects });
  return prospects;
}
