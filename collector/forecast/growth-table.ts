import { growHeatWPerKg, keepHeatWPerKg } from '../../shared/growth/own-heat.ts';
import { between, middleNode } from './nodes.ts';
import { type Particles, particleCount } from './particles.ts';
import { reachesAt, type Spells, shareOf } from './spells.ts';

const knots = 48;

/** Mean share of a cohort's particles, and its rate, against the thermal time of the middle node. */
export interface GrowthTable {
  readonly from: number;
  readonly spacing: number;
  readonly share: Float64Array;
  readonly perDay: Float64Array;
}

/** Of so many particles one is asked: a mean needs no more. */
const every = 2;

const made = new WeakMap<Particles, { spells: Spells; nodes: Float64Array; table: GrowthTable }>();

/**
 * Tabulates the mean growth ahead, for self-heating; made anew at each look and shake. Bags that stood side by side
 * so far have one in common.
 */
export function growthTable(spells: Spells, particles: Particles, nodes: Float64Array): GrowthTable {
  const last = made.get(particles);
  if (last !== undefined && sameNumbers(last.nodes, nodes) && sameSpells(last.spells, spells))
    return last.table;
  const table = tabulate(spells, particles, nodes);
  made.set(particles, { spells, nodes: nodes.slice(), table });
  return table;
}

function sameNumbers(one: Float64Array, other: Float64Array): boolean {
  for (let i = 0; i < one.length; i++) if (one[i] !== other[i]) return false;
  return true;
}

const sameSpells = (one: Spells, other: Spells): boolean =>
  sameNumbers(one.startsAt, other.startsAt) && sameNumbers(one.startShare, other.startShare);

function tabulate(spells: Spells, particles: Particles, nodes: Float64Array): GrowthTable {
  const from = nodes[middleNode]!;
  let ahead = 0;
  let total = 0;
  for (let i = 0; i < particleCount; i += every) total += particles.weight[i]!;
  for (let i = 0; i < particleCount; i += every) {
    const now = between(nodes, particles.node[i]!, particles.part[i]!);
    ahead += (particles.weight[i]! / total) * Math.max(0, reachesAt(spells, particles, i, 0.97) - now);
  }
  // Past 1.6 times the mean little is left to grow, and what is counts as done.
  const spacing = Math.min(60, Math.max(1, 1.6 * ahead)) / knots;

  const share = new Float64Array(knots + 1);
  const perDay = new Float64Array(knots + 1);
  for (let i = 0; i < particleCount; i += every) {
    const weight = particles.weight[i]! / total;
    const now = between(nodes, particles.node[i]!, particles.part[i]!);
    for (let knot = 0; knot <= knots; knot++)
      share[knot]! += weight * shareOf(spells, particles, i, now + knot * spacing);
  }
  for (let knot = 1; knot < knots; knot++)
    perDay[knot] = (share[knot + 1]! - share[knot - 1]!) / (2 * spacing);
  perDay[0] = (share[1]! - share[0]!) / spacing;
  return { from, spacing, share, perDay };
}

/** Heat at the response's full rate [W/kg wet] at a thermal time of the middle node. */
export function heatingAt(table: GrowthTable, theta: number): number {
  const place = (theta - table.from) / table.spacing;
  if (!(place < knots)) return keepHeatWPerKg;
  const knot = Math.max(0, Math.floor(place));
  const part = Math.max(0, place - knot);
  const perDay = table.perDay[knot]! + part * (table.perDay[knot + 1]! - table.perDay[knot]!);
  const share = table.share[knot]! + part * (table.share[knot + 1]! - table.share[knot]!);
  return growHeatWPerKg * perDay + keepHeatWPerKg * share;
}
