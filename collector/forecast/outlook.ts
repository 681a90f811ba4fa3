import { remembered, slowedBy } from '../../shared/growth/dose.ts';
import type { AirBook } from './air-book.ts';
import { type CohortRun, coreSdK, shelfAt, slot } from './cohort-run.ts';
import { applyCore, type CoreMap, coreMap } from './core-step.ts';
import { stepHours } from './grid.ts';
import { heatingAt } from './growth-table.ts';
import type { Kind } from './kind.ts';
import { middleNode, nodeCount, nodeError } from './nodes.ts';
import { aheadOf, type ShelfState, unknownSdK } from './shelf-state.ts';

/** Lengths of the steps ahead [h]: fine while the core still moves, by the quarter day, then by the day. */
const stretches: readonly (readonly [hours: number, count: number])[] = [
  [2, 48],
  [6, 104],
  [24, 60],
];
const stepsAhead = stretches.flatMap(([hours, count]) => new Array<number>(count).fill(hours));
export const horizonH = stepsAhead.reduce((sum, hours) => sum + hours, 0);

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
  coreC: Float64Array;
  airC: Float64Array;
}

const mapsOf = new WeakMap<Kind['thermal'], Map<number, CoreMap>>();

/** Core map of a longer step, made once per container and length. */
function longStep(kind: Kind, hours: number): CoreMap {
  const maps = mapsOf.get(kind.thermal) ?? new Map<number, CoreMap>();
  mapsOf.set(kind.thermal, maps);
  const map = maps.get(hours) ?? coreMap(kind.thermal, hours * 3600);
  maps.set(hours, map);
  return map;
}

/**
 * Runs a cohort on through the air to expect on its shelf: the usual day, the present deviation fading, and
 * self-heating as its particles grow on average.
 * @param enough stops once the middle node has gained this many thermal days and the coldest half of it
 */
export function lookAhead(run: CohortRun, kind: Kind, air: AirBook, step: number, enough: number): Outlook {
  const shelf = air.stateAt(shelfAt(run.cohort, step), step);
  const ownSdK = Math.hypot(coreSdK, pastSd(air, run, step));
  const roomSdK = Math.sqrt(shelf.levelVariance) * 0.7;
  const spreadK = Math.hypot(ownSdK, roomSdK);
  const { response } = kind;

  const hours = new Float64Array(stepsAhead.length + 1);
  const coreC = new Float64Array(hours.length);
  const airC = new Float64Array(hours.length);
  const gained = new Float64Array(hours.length * nodeCount);
  const state = run.state.slice(0, 3);
  let memory = run.state[slot.memory]!;
  coreC[0] = state[slot.core]!;
  airC[0] = expected(shelf, step, 0);

  let rows = 1;
  for (const length of stepsAhead) {
    const before = (rows - 1) * nodeCount;
    const here = rows * nodeCount;
    const middle = gained[before + middleNode]!;
    if (middle > enough && gained[before]! > enough / 2) break;
    const airTempC = expected(shelf, step, hours[rows - 1]! + length / 2, length);
    const heating = heatingAt(run.table, run.nodes[middleNode]! + middle) * response(state[slot.core]!);
    const from = state[slot.core]!;
    applyCore(longStep(kind, length), state, airTempC, heating);
    const core = (from + state[slot.core]!) / 2;
    const days = (length / 24) * slowedBy(memory);
    memory = remembered(memory, 0, length);
    for (let node = 0; node < nodeCount; node++)
      gained[here + node] = gained[before + node]! + days * response(core + spreadK * nodeError(node));
    hours[rows] = hours[rows - 1]! + length;
    coreC[rows] = state[slot.core]!;
    airC[rows] = airTempC;
    rows++;
  }
  let dayBack = rows - 1;
  while (dayBack > 0 && hours[rows - 1]! - hours[dayBack]! < 24) dayBack--;
  return { hours, gained, rows, dayBack, spreadK, ownSdK, roomSdK, coreC, airC };
}

/** A step of a day or more takes the day's mean. */
function expected(shelf: ShelfState, step: number, hours: number, length = 0): number {
  if (length < 24) return aheadOf(shelf, step + Math.round(hours / stepHours), hours).tempC;
  let sum = 0;
  for (let hour = 0; hour < 24; hour++)
    sum += aheadOf(shelf, step + Math.round((hours + hour) / stepHours), hours).tempC;
  return sum / 24;
}

/** How unsure the air is right now; a shelf that was never measured stays as unsure as it was. */
function pastSd(air: AirBook, run: CohortRun, step: number): number {
  const { sdK } = air.at(shelfAt(run.cohort, step - 1), step - 1);
  return Math.min(sdK, unknownSdK);
}

/** Gained thermal days of a row at a place among the nodes. */
export function gainedAt(outlook: Outlook, row: number, node: number, part: number): number {
  const at = row * nodeCount + node;
  const low = outlook.gained[at]!;
  return low + part * (outlook.gained[at + 1]! - low);
}

/** Hours until a particle has gained so many thermal days: 0 for what is past, Infinity beyond the horizon. */
export function hoursUntil(outlook: Outlook, wanted: number, node: number, part: number): number {
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
  const from = gainedAt(outlook, low, node, part);
  const to = gainedAt(outlook, high, node, part);
  const beyond = (wanted - from) / (to - from);
  return outlook.hours[low]! + beyond * (outlook.hours[high]! - outlook.hours[low]!);
}
