import { meanOfKnown } from '../stats/mean.ts';

/** Samples in which a room did what nothing that is told of it explains: first of them, and first after them. */
export interface Stretch {
  from: number;
  until: number;
}

/** Air is looked at in means of so long [min]. */
const smoothMin = 15;

/** Running for so long without a pause a cooler gives all it has [min]; all of the time but for a sample in which it began. */
const leastMin = 60;
const allOfIt = 0.95;
/** So much warmer, something warms the air past its cooler [K]; a load on record may do so this long after it came [min]. Assumed. */
const risenK = 1;
const loadMin = 180;

/**
 * Where a cooler was told to run without a pause and yet the air rose: it had failed, or a load or a door of which
 * nobody told warmed the room. From its lowest air on until its next pause.
 */
function inVain(
  on: ArrayLike<number>,
  meansC: Float64Array,
  width: number,
  stepMin: number,
  loadsAt: readonly number[],
): Stretch[] {
  const stretches: Stretch[] = [];
  let from = -1;
  for (let i = 0; i <= on.length; i++) {
    // Where it is not known it has not paused.
    if (i < on.length && !(on[i]! < allOfIt)) {
      if (from < 0) from = i;
      continue;
    }
    const first = from < 0 ? i : Math.ceil(from / width);
    const long = from >= 0 && (i - from) * stepMin >= leastMin;
    from = -1;
    if (!long) continue;
    let lowest = first;
    for (let k = first; (k + 1) * width <= i; k++) {
      if (!(meansC[k]! >= meansC[lowest]!)) lowest = k;
      if (!(meansC[k]! - meansC[lowest]! >= risenK)) continue;
      const [low, risen] = [lowest * width, (k + 1) * width];
      if (!loadsAt.some((at) => at > low - loadMin / stepMin && at < risen))
        stretches.push({ from: low, until: i });
      break;
    }
  }
  return stretches;
}

/** So far under air that it seldom falls below, a room is out of its heater's hands [K]. Assumed. */
const outOfHandK = 1.5;
const seldom = 0.05;
const ordinary = 0.25;

/** Where air fell far below all that it usually is: its heater had failed, or a door stood open to the cold. */
function farTooCold(meansC: Float64Array, width: number): Stretch[] {
  const sorted = meansC.filter(Number.isFinite).sort();
  const quantile = (share: number) => sorted[Math.floor(share * (sorted.length - 1))]!;
  const stretches: Stretch[] = [];
  const [coldC, backC] = [quantile(seldom) - outOfHandK, quantile(ordinary)];
  for (let k = 0; k < meansC.length; k++) {
    if (!(meansC[k]! < coldC)) continue;
    let first = k;
    while (first > 0 && !(meansC[first - 1]! >= backC)) first--;
    while (k < meansC.length && !(meansC[k]! >= backC)) k++;
    stretches.push({ from: first * width, until: k * width });
  }
  return stretches;
}

/**
 * Hours of which it is not known what was done to a room's air: a cooler ran in vain, or the air fell far below its
 * usual.
 * @param on part of each sample that the cooler ran, 0 to 1; NaN where not known
 * @param loadsAt samples, or parts of them, at which recorded loads came in
 */
export function strangeHours(
  on: ArrayLike<number>,
  airC: ArrayLike<number>,
  stepMin: number,
  loadsAt: readonly number[],
): Stretch[] {
  const width = Math.ceil(smoothMin / stepMin);
  const meansC = Float64Array.from({ length: Math.floor(airC.length / width) }, (_, k) =>
    meanOfKnown(airC, k * width, (k + 1) * width),
  );
  return [...inVain(on, meansC, width, stepMin, loadsAt), ...farTooCold(meansC, width)];
}
