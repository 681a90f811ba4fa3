import type { LoadSpec } from '../heat/load.ts';
import { meanOfKnown } from '../stats/mean.ts';
import { type EpochMs, minuteMs } from '../time.ts';
import type { KnownCooler } from './driven.ts';
import { type CoolerSignal, isWorkingHour } from './room-fit.ts';
import { strangeHours } from './strange-hours.ts';
import { type DutyStretch, dutyStretches, middleRise, type Rise, turnsOf } from './swings.ts';

/** A hot load that stood in the room, as it was recorded. */
export interface PastLoad {
  at: EpochMs;
  /** When it was carried out, or had become bags like others; null while it stands there. */
  until: EpochMs | null;
  load: Pick<LoadSpec, 'thermal' | 'count' | 'startC'>;
  /** Film against the room's carts without a fan; 1 unless a fan blew at it. */
  filmTimes?: number;
  /** Core as measured meanwhile. */
  cores: readonly { t: EpochMs; tempC: number }[];
}

/** What a room's sensors said, evenly spaced; NaN where they said nothing. */
export interface RoomHistory {
  from: EpochMs;
  /** Spacing [ms], a whole part of `gridMs`; finer than 2 min shows how a thermostat swings. */
  stepMs: number;
  airC: ArrayLike<number>;
  /** Null where no sensor tells outside air: then its usual day is learned from the room's. */
  outsideC: ArrayLike<number> | null;
  /** Part of each step that its cooler ran, 0 to 1; null where nothing tells it. */
  coolerOn: ArrayLike<number> | null;
  /** Something does, but too seldom to say when it switched; then `coolerOn` is null. */
  coolerSeldom?: boolean;
  /** Heat of bags that stand there [W]; null where it is not known: they are then part of the room's own gains. */
  bagsW: ArrayLike<number> | null;
  loads: readonly PastLoad[];
  /** Hour of the local day, 0 to 24, at an instant. */
  localHour: (t: EpochMs) => number;
}

/** The step of a fit, and the bin over which predicted and measured air are compared [ms]. */
export const gridMs = 300_000;
export const binMs = 900_000;
export const stepsPerBin = binMs / gridMs;

/** A history on the grid of a fit. */
export interface RoomGrid {
  from: EpochMs;
  steps: number;
  /** Measured air, gaps filled straight; for loads and structure, which feel air whether it was measured or not. */
  airC: Float64Array;
  /** Mean of each bin, NaN where nothing was measured. */
  binC: Float64Array;
  outsideC: Float64Array | null;
  /** In the spacing of the history; null where its cooler is hardly known. */
  cooler: KnownCooler | null;
  /** Null where nothing tells of it. */
  coolerSignal: CoolerSignal | null;
  /** Told hours of the cooler that teach nothing, because something was amiss in them. */
  strangeH: number;
  bagsW: Float64Array;
  working: Uint8Array;
  localHour: Float64Array;
  /** What switching thermostats did, in grid steps. */
  duties: DutyStretch[];
  rise: Rise | null;
}

/** Means over grid cells; NaN where nothing was measured. */
const meansOf = (values: ArrayLike<number>, perCell: number, cells: number): Float64Array =>
  Float64Array.from({ length: cells }, (_, cell) =>
    meanOfKnown(values, cell * perCell, (cell + 1) * perCell),
  );

/** Gaps bridged straight, ends carried on; NaN only where nothing was ever measured. */
function filled(values: Float64Array): Float64Array {
  const out = values.slice();
  let before = -1;
  for (let i = 0; i <= out.length; i++) {
    if (i < out.length && !Number.isFinite(out[i]!)) continue;
    const [left, right] = [before >= 0 ? out[before]! : out[i], i < out.length ? out[i]! : out[before]];
    for (let gap = before + 1; gap < i; gap++)
      out[gap] = left! + ((gap - before) / (i - before)) * (right! - left!);
    before = i;
  }
  return out;
}

/** A cooler that is known for less of the time is taken as unknown, and so is one that never ran. */
const leastKnown = 0.5;
/** Nor is it of use beside air that is told more seldom than this. */
const coarsestMs = 2 * minuteMs;

function knownCooler(history: RoomHistory): Pick<RoomGrid, 'cooler' | 'coolerSignal' | 'strangeH'> {
  const { from, coolerOn, coolerSeldom = false, stepMs, loads } = history;
  const unused = (coolerSignal: CoolerSignal | null) => ({ cooler: null, coolerSignal, strangeH: 0 });
  if (coolerOn === null) return unused(coolerSeldom ? 'seldom' : null);
  if (stepMs > coarsestMs) return unused('air-seldom');
  const on = Float64Array.from(coolerOn);
  const stepMin = stepMs / minuteMs;
  const loadsAt = loads.map(({ at }) => (at - from) / stepMs);
  const told = on.filter(Number.isFinite).length;
  for (const { from, until } of strangeHours(on, history.airC, stepMin, loadsAt))
    on.fill(Number.NaN, from, until);
  const known = on.filter(Number.isFinite);
  if (known.length < leastKnown * on.length) return unused('gaps');
  if (!known.some((part) => part > 0)) return unused('never-ran');
  const strangeH = ((told - known.length) * stepMin) / 60;
  return { cooler: { on, stepMin }, coolerSignal: 'taught', strangeH };
}

/**
 * Puts a history on the grid of a fit; what fills no whole bin at its end is left out.
 * @throws RangeError for a spacing that does not divide `gridMs`, which is an error of the caller's
 */
export function gridOf(history: RoomHistory): RoomGrid {
  const perStep = gridMs / history.stepMs;
  if (!Number.isInteger(perStep))
    throw new RangeError(`a room's history comes in steps that divide 5 min, not ${history.stepMs} ms`);
  const bins = Math.floor(history.airC.length / perStep / stepsPerBin);
  const steps = bins * stepsPerBin;
  const air = meansOf(history.airC, perStep, steps);
  const binC = meansOf(air, stepsPerBin, bins);
  const hour = Float64Array.from({ length: steps }, (_, step) =>
    history.localHour(history.from + (step + 0.5) * gridMs),
  );
  const bagsW = history.bagsW === null ? null : filled(meansOf(history.bagsW, perStep, steps));
  const stepMin = history.stepMs / minuteMs;
  const turns = turnsOf(history.airC, stepMin);
  return {
    ...{ from: history.from, steps, binC },
    airC: filled(air),
    outsideC: history.outsideC && filled(meansOf(history.outsideC, perStep, steps)),
    ...knownCooler(history),
    bagsW: bagsW ?? new Float64Array(steps),
    working: Uint8Array.from(hour, (localHour) => (isWorkingHour(localHour) ? 1 : 0)),
    localHour: hour,
    duties: dutyStretches(history.airC, turns)
      .map((stretch) => ({
        ...stretch,
        from: Math.floor(stretch.from / perStep),
        to: Math.min(steps, Math.ceil(stretch.to / perStep)),
      }))
      .filter(({ from, to }) => from < to),
    rise: middleRise(history.airC, stepMin, turns),
  };
}
