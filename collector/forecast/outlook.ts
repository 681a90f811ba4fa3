import { remembered, slowedBy } from '../../shared/growth/dose.ts';
import { scaledThermal } from '../../shared/heat/probe.ts';
import type { AirBook } from './air-book.ts';
import { type CohortRun, shelfAt, slot, tableOf } from './cohort-run.ts';
import { applyCore, type CoreMap, coreMap, coreParts } from './core-step.ts';
import { heatingAt } from './growth-table.ts';
import type { Kind } from './kind.ts';
import { middleNode, nodeCount, nodeError } from './nodes.ts';
import type { Particles } from './particles.ts';
import { horizonH, rowCount, rowEndH, rowLengthH } from './rows.ts';

/** Thermal time ahead of a cohort for 13 temperature errors; row after row of nodes, the first all zero. */
export interface Outlook {
  /** Hours from now of each row. */
  hours: Float64Array;
  /** Thermal days from now on, by row and node. */
  gained: Float64Array;
  rows: number;
  /** Row a day or more before the last; the first when there is none. */
  dayBack: number;
  /** What one node's width is worth [K]. */
  spreadK: number;
  /** Parts of `spreadK`, in K, of a particle's own warmth and of the room's future. */
  ownSdK: number;
  roomSdK: number;
  /** Core at each row; air over the step that ends at row + 1 [°C]. */
  coreC: Float64Array;
  airC: Float64Array;
}

const mapsOf = new WeakMap<Kind['thermal'], readonly CoreMap[]>();

/** Core map of each row's step, made once per container; for a probed cohort by its own time constant. */
function longSteps({ thermal }: Kind, tauFactor: number): readonly CoreMap[] {
  const found = tauFactor === 1 ? mapsOf.get(thermal) : undefined;
  if (found !== undefined) return found;
  const own = tauFactor === 1 ? thermal : scaledThermal(thermal, tauFactor);
  const byLength = new Map<number, CoreMap>();
  const maps = Array.from(rowLengthH, (hours) => {
    const map = byLength.get(hours) ?? coreMap(own, hours * 3600);
    byLength.set(hours, map);
    return map;
  });
  if (tauFactor === 1) mapsOf.set(thermal, maps);
  return maps;
}

/**
 * Runs a cohort on through the air to expect on its shelf, with self-heating as its particles grow on average.
 * @param enough stops once the middle node has gained this many thermal days and the coldest half of it
 */
export function lookAhead(
  run: CohortRun,
  particles: Particles,
  kind: Kind,
  air: AirBook,
  step: number,
  enough: number,
): Outlook {
  const table = tableOf(run, particles);
  const maps = longSteps(kind, run.tauFactor);
  const shelf = shelfAt(run.cohort, step);
  const future = air.ahead(shelf, step);
  const { response } = kind;
  const { offsetK } = run;
  const pace = Math.max(0.1, response(run.state[slot.core]! + offsetK.mean));
  const ownSdK = run.probe === null ? Math.hypot(offsetK.sd, air.at(shelf, step - 1).sdK) : offsetK.sd;
  const roomSdK = future.sdOver((24 * enough) / (2 * pace));
  const spreadK = Math.hypot(ownSdK, roomSdK);

  const hours = new Float64Array(rowCount + 1);
  const coreC = new Float64Array(rowCount + 1);
  const gained = new Float64Array((rowCount + 1) * nodeCount);
  const state = run.state.slice(0, coreParts);
  let memory = run.state[slot.memory]!;
  coreC[0] = state[slot.core]! + offsetK.mean;

  let rows = 1;
  for (let row = 0; row < rowCount; row++) {
    const before = row * nodeCount;
    const here = before + nodeCount;
    const middle = gained[before + middleNode]!;
    if (middle > enough && gained[before]! > enough / 2) break;
    const length = rowLengthH[row]!;
    const from = state[slot.core]!;
    const heating = heatingAt(table, run.nodes[middleNode]! + middle) * response(from + offsetK.mean);
    applyCore(maps[row]!, state, future.tempC[row]!, heating);
    const core = (from + state[slot.core]!) / 2 + offsetK.mean;
    let days = length / 24;
    if (memory > 1e-3) {
      days *= slowedBy(memory);
      memory = remembered(memory, 0, length);
    }
    for (let node = 0; node < nodeCount; node++)
      gained[here + node] = gained[before + node]! + days * response(core + spreadK * nodeError(node));
    hours[rows] = rowEndH[row]!;
    coreC[rows] = state[slot.core]! + offsetK.mean;
    rows++;
  }
  let dayBack = rows - 1;
  while (dayBack > 0 && hours[rows - 1]! - hours[dayBack]! < 24) dayBack--;
  return { hours, gained, rows, dayBack, spreadK, ownSdK, roomSdK, coreC, airC: future.tempC };
}

/** Gained thermal days of a row at a place among the nodes. */
export function gainedAt(outlook: Outlook, row: number, node: number, part: number): number {
  const at = row * nodeCount + node;
  const low = outlook.gained[at]!;
  return low + part * (outlook.gained[at + 1]! - low);
}

/**
 * Hours until a particle has gained so many thermal days: 0 for what is past, Infinity beyond the horizon.
 * @param rows takes the row in which it was found, at `index`
 */
export function hoursUntil(
  outlook: Outlook,
  wanted: number,
  node: number,
  part: number,
  rows?: Uint8Array,
  index = 0,
): number {
  if (!(wanted > 0)) return 0;
  let low = 0;
  let high = outlook.rows - 1;
  const last = gainedAt(outlook, high, node, part);
  if (last < wanted) {
    // Past the last row growth goes on as over the last day, if at all.
    const back = outlook.dayBack;
    const rate = (last - gainedAt(outlook, back, node, part)) / (outlook.hours[high]! - outlook.hours[back]!);
    const hours = outlook.hours[high]! + (wanted - last) / rate;
    return hours <= horizonH ? hours : Number.POSITIVE_INFINITY;
  }
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (gainedAt(outlook, middle, node, part) < wanted) low = middle;
    else high = middle;
  }
  if (rows !== undefined) rows[index] = low;
  const from = gainedAt(outlook, low, node, part);
  const to = gainedAt(outlook, high, node, part);
  const beyond = (wanted - from) / (to - from);
  return outlook.hours[low]! + beyond * (outlook.hours[high]! - outlook.hours[low]!);
}
