import type { EpochMs } from '../../shared/time.ts';
import type { AirBook } from './air-book.ts';
import type { BatchRun } from './batch-run.ts';
import { type CohortRun, slot } from './cohort-run.ts';
import { timeOf } from './grid.ts';
import { between, middleNode, nodePlace } from './nodes.ts';
import { hoursUntil, lookAhead, type Outlook } from './outlook.ts';
import { futureDraws, type Particles, particleCount } from './particles.ts';
import { hash32 } from './seeded.ts';
import { type Spells, shareOf } from './spells.ts';
import { type Targets, targetsOf } from './targets.ts';

/** All that is worked out about a cohort at one instant, before it is put into a forecast. */
export interface View {
  now: EpochMs;
  /** Instant from which the outlook counts. */
  base: EpochMs;
  run: CohortRun;
  batch: BatchRun;
  particles: Particles;
  outlook: Outlook;
  targets: Targets;
  /** Each particle's thermal time and share. */
  theta: Float64Array;
  share: Float64Array;
  /** Place of each particle's future among the nodes. */
  node: Uint8Array;
  part: Float64Array;
}

const cached = new WeakMap<Spells, { pace: number; targets: Targets }>();

/** Targets hang on the spells alone but for the pace, which counts in tenths. */
function targetsFor(spells: Spells, particles: Particles, pace: number): Targets {
  const found = cached.get(spells);
  if (found?.pace === pace) return found.targets;
  const targets = targetsOf(spells, particles, pace);
  cached.set(spells, { pace, targets });
  return targets;
}

/** Thermal days that a day on this shelf brings, in tenths, at least 0.1. */
function paceOf(batch: BatchRun, run: CohortRun): number {
  const gamma = batch.kind.response(run.state[slot.core]!);
  return Math.max(0.1, Math.round(gamma * 10) / 10);
}

export function viewOf(batch: BatchRun, run: CohortRun, air: AirBook, room: string, now: EpochMs): View {
  const particles = batch.particles();
  const targets = targetsFor(run.spells, particles, paceOf(batch, run));
  let longest = 0;
  for (let i = 0; i < particleCount; i++) longest = Math.max(longest, targets.ready[i]!);
  const { useWithinDays } = batch.kind.species;
  const middle = run.nodes[middleNode]!;
  const enough = Math.min(90, Math.max(longest, 1.6 * useWithinDays) - middle + 1);
  const outlook = lookAhead(run, batch.kind, air, batch.step(), enough);

  const theta = new Float64Array(particleCount);
  const share = new Float64Array(particleCount);
  const node = new Uint8Array(particleCount);
  const part = new Float64Array(particleCount);
  // Rooms differ in which particle has the warm future; cohorts of one room agree.
  const turn = hash32(room) & (particleCount - 1);
  for (let i = 0; i < particleCount; i++) {
    theta[i] = between(run.nodes, particles.node[i]!, particles.part[i]!);
    share[i] = shareOf(run.spells, particles, i, theta[i]!);
    const warmth = (particles.node[i]! + particles.part[i]! - middleNode) / 2;
    const future = futureDraws[(i + turn) & (particleCount - 1)]!;
    const place = nodePlace((warmth * outlook.ownSdK + future * outlook.roomSdK) / outlook.spreadK);
    node[i] = Math.floor(place);
    part[i] = place - node[i]!;
  }
  return {
    now,
    base: timeOf(batch.step()),
    run,
    batch,
    particles,
    outlook,
    targets,
    theta,
    share,
    node,
    part,
  };
}

/** Hours from the base until each particle reaches a thermal time of its own. */
export function hoursTo(view: View, wanted: Float64Array): Float64Array {
  const { outlook, theta, node, part } = view;
  return wanted.map((target, i) => hoursUntil(outlook, target - theta[i]!, node[i]!, part[i]!));
}
