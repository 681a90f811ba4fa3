import { useByAge } from '../../shared/growth/ageing.ts';
import type { EpochMs } from '../../shared/time.ts';
import type { AirBook } from './air-book.ts';
import type { BatchRun } from './batch-run.ts';
import type { CohortRun } from './cohort-run.ts';
import { timeOf } from './grid.ts';
import { between, middleNode, nodeCount, nodePlace } from './nodes.ts';
import { hoursUntil, lookAhead, type Outlook } from './outlook.ts';
import { futureDraws, type Particles, particleCount } from './particles.ts';
import { type Prospects, prospectsOf } from './prospects.ts';
import { hash32 } from './seeded.ts';
import { shareOf } from './spells.ts';

/** All that is worked out about a cohort at one instant, before it is put into a forecast. */
export interface View {
  now: EpochMs;
  /** Instant from which the outlook counts. */
  base: EpochMs;
  run: CohortRun;
  batch: BatchRun;
  particles: Particles;
  outlook: Outlook;
  prospects: Prospects;
  /** Each particle's thermal time and share. */
  theta: Float64Array;
  share: Float64Array;
  /** Place of each particle's future among the nodes. */
  node: Uint8Array;
  part: Float64Array;
}

/** Thermal days to look ahead: to the slowest particle's ready and the likely use-by. */
function thermalDaysAhead(batch: BatchRun, run: CohortRun, { targets, readyAge }: Prospects): number {
  const { useWithinDays } = batch.kind.species;
  let last = useByAge(useWithinDays, readyAge);
  for (let i = 0; i < particleCount; i++) last = Math.max(last, targets.ready[i]!);
  return Math.min(90, Math.max(1, last - run.nodes[middleNode]!));
}

export function viewOf(batch: BatchRun, run: CohortRun, air: AirBook, room: string, now: EpochMs): View {
  const particles = batch.particles();
  const prospects = prospectsOf(run, particles);
  const outlook = lookAhead(
    run,
    particles,
    batch.kind,
    air,
    batch.step(),
    thermalDaysAhead(batch, run, prospects),
  );

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
    prospects,
    theta,
    share,
    node,
    part,
  };
}

/**
 * Hours from the base until each particle reaches a thermal time of its own.
 * @param rows where each was found the last time, to be looked for there first; kept up to date
 */
export function hoursTo(view: View, wanted: Float64Array, rows?: Uint8Array): Float64Array {
  const { outlook, theta, node, part } = view;
  const { gained, hours: ends } = outlook;
  const hours = new Float64Array(particleCount);
  for (let i = 0; i < particleCount; i++) {
    const gain = wanted[i]! - theta[i]!;
    if (!(gain > 0)) continue;
    const row = rows === undefined ? outlook.rows : rows[i]!;
    if (row + 1 < outlook.rows) {
      const at = row * nodeCount + node[i]!;
      const beyond = part[i]!;
      const from = gained[at]! + beyond * (gained[at + 1]! - gained[at]!);
      const next = at + nodeCount;
      const to = gained[next]! + beyond * (gained[next + 1]! - gained[next]!);
      if (from < gain && to >= gain) {
        hours[i] = ends[row]! + ((gain - from) / (to - from)) * (ends[row + 1]! - ends[row]!);
        continue;
      }
    }
    hours[i] = hoursUntil(outlook, gain, node[i]!, part[i]!, rows, i);
  }
  return hours;
}
