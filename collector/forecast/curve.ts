import type { CohortCurve } from '../../shared/forecasts.ts';
import { type EpochMs, hourMs } from '../../shared/time.ts';
import type { AirBook } from './air-book.ts';
import { type BatchRun, createBatchRun } from './batch-run.ts';
import { shelfAt, slot } from './cohort-run.ts';
import { stepsPerHour, timeOf } from './grid.ts';
import { between } from './nodes.ts';
import { gainedAt } from './outlook.ts';
import { particleCount } from './particles.ts';
import { threePoints } from './quantiles.ts';
import { firstSpells, type Spells, shakeAll, shareOf } from './spells.ts';
import { type View, viewOf } from './view.ts';

/** Points of a curve: about this many behind and as many ahead. */
const mostPoints = 240;
/** Days shown beyond the likely end. */
const hoursBeyond = 36;

interface Moment {
  step: number;
  nodes: Float64Array;
  coreTempC: number;
  recentHours: number;
}

/** Runs a batch through its past once more and keeps what a curve needs of one cohort. */
function relive(run: BatchRun, index: number): Moment[] {
  const again = createBatchRun(run);
  const hours = Math.ceil((run.step() - run.startStep) / stepsPerHour);
  const every = stepsPerHour * Math.max(1, Math.ceil(hours / mostPoints));
  const moments: Moment[] = [];
  for (let step = run.startStep; ; step += every) {
    const at = Math.min(step, run.step());
    again.advance(at);
    const cohort = again.cohorts()[index]!;
    moments.push({
      step: at,
      nodes: cohort.nodes.slice(),
      coreTempC: cohort.state[slot.core]! + cohort.offsetK.mean,
      recentHours: cohort.state[slot.memory]!,
    });
    if (at === run.step()) return moments;
  }
}

function past(view: View, index: number): CohortCurve['points'] {
  const { batch, run, particles } = view;
  const { air } = batch;
  const shakes = run.marks.filter((mark) => mark.kind === 'shake');
  const spells: Spells[] = [firstSpells(particles)];
  for (const { nodes } of shakes) spells.push(shakeAll(spells.at(-1)!, particles, nodes));
  const share = new Float64Array(particleCount);
  return relive(batch, index).map(({ step, nodes, coreTempC, recentHours }) => {
    const t = timeOf(step);
    const spell = spells[shakes.filter((shake) => shake.t < t).length]!;
    for (let i = 0; i < particleCount; i++)
      share[i] = shareOf(spell, particles, i, between(nodes, particles.node[i]!, particles.part[i]!));
    const before = air.at(shelfAt(run.cohort, Math.max(batch.startStep, step - 1)), step - 1);
    return {
      t,
      share: threePoints(share, particles.weight),
      coreTempC,
      airTempC: before.tempC,
      air: before.source,
      recentHours,
    };
  });
}

function ahead(view: View): CohortCurve['points'] {
  const { outlook, run, particles, theta, node, part, base } = view;
  const points: CohortCurve['points'] = [];
  const share = new Float64Array(particleCount);
  let left = Number.POSITIVE_INFINITY;
  for (let row = 1; row < outlook.rows; row++) {
    const hours = outlook.hours[row]!;
    if (hours > left) break;
    for (let i = 0; i < particleCount; i++)
      share[i] = shareOf(run.spells, particles, i, theta[i]! + gainedAt(outlook, row, node[i]!, part[i]!));
    const band = threePoints(share, particles.weight);
    if (band.low >= 0.97) left = Math.min(left, hours + hoursBeyond);
    points.push({
      t: Math.round(base + hours * hourMs),
      share: band,
      coreTempC: outlook.coreC[row]!,
      airTempC: outlook.airC[row - 1]!,
      air: 'filled',
      recentHours: null,
    });
  }
  return points;
}

/** Growth of a cohort behind, as what is known now has it, and ahead. */
export function curveOf(
  batch: BatchRun,
  index: number,
  air: AirBook,
  room: string,
  now: EpochMs,
): CohortCurve {
  const run = batch.cohorts()[index]!;
  const view = viewOf(batch, run, air, room, now);
  return { cohort: run.cohort.id, now, points: [...past(view, index), ...ahead(view)] };
}
