import type { Form } from '../../shared/heat/one-term.ts';

/**
 * Heat conduction by finite volumes with explicit steps: the reference that the container models are held
 * against. It shares no formula with them. One, two or three axes; each is half a slab (from its middle
 * plane), a radius of a cylinder or of a sphere, cut into equal cells.
 */
export interface ConductionAxis {
  form: Form;
  lengthM: number;
  cells: number;
}

export interface ConductionBody {
  axes: readonly ConductionAxis[];
  alphaM2PerS: number;
  conductivityWPerMK: number;
  hWPerM2K: number;
}

export interface ConductionRun {
  /** Everywhere at the start [°C]. */
  startC: number;
  /** Air at a time since the start [°C]. */
  airC(elapsedS: number): number;
  /** Heat made in the material [K/s]: W/kg over cp. */
  warmingKPerS?: number;
  durationS: number;
  /** Called after each step. */
  each(elapsedS: number, temperatures: { centreC: number; meanC: number; surfaceC: number }): void;
}

const power: Record<Form, number> = { slab: 0, cylinder: 1, sphere: 2 };

interface Exchange {
  /** Flow towards the cell below and above per kelvin of difference [1/s]; that of the last cell is to the air. */
  below: Float64Array;
  above: Float64Array;
  volume: Float64Array;
  cells: number;
}

function exchangeOf({ form, lengthM, cells }: ConductionAxis, body: ConductionBody): Exchange {
  const { alphaM2PerS, conductivityWPerMK, hWPerM2K } = body;
  const width = lengthM / cells;
  const order = power[form];
  const area = (edge: number): number => (edge * width) ** order;
  const below = new Float64Array(cells);
  const above = new Float64Array(cells);
  const volume = Float64Array.from(
    { length: cells },
    (_, cell) => (((cell + 1) * width) ** (order + 1) - (cell * width) ** (order + 1)) / (order + 1),
  );
  // From the middle of the outermost cell through half of it and the film.
  const outside = alphaM2PerS / conductivityWPerMK / (width / 2 / conductivityWPerMK + 1 / hWPerM2K);
  for (let cell = 0; cell < cells; cell++) {
    below[cell] = cell === 0 ? 0 : (alphaM2PerS * area(cell)) / width / volume[cell]!;
    above[cell] = (area(cell + 1) / volume[cell]!) * (cell === cells - 1 ? outside : alphaM2PerS / width);
  }
  return { below, above, volume, cells };
}

/** Runs a body through its air. Steps are as long as stability allows. */
export function conduct(body: ConductionBody, run: ConductionRun): void {
  const exchanges = body.axes.map((axis) => exchangeOf(axis, body));
  const strides = exchanges.map((_, index) =>
    exchanges.slice(0, index).reduce((product, { cells }) => product * cells, 1),
  );
  const total = exchanges.reduce((product, { cells }) => product * cells, 1);
  const fastest = exchanges.reduce(
    (sum, { below, above, cells }) =>
      sum + Math.max(...Array.from({ length: cells }, (_, cell) => below[cell]! + above[cell]!)),
    0,
  );
  const steps = Math.ceil(run.durationS * fastest * 1.05);
  const dtS = run.durationS / steps;
  const volumes = Float64Array.from({ length: total }, (_, place) =>
    exchanges.reduce(
      (product, { volume, cells }, axis) => product * volume[Math.floor(place / strides[axis]!) % cells]!,
      1,
    ),
  );
  const wholeVolume = volumes.reduce((sum, volume) => sum + volume, 0);

  // Surface: middle of the face on the first axis.
  const outermost = body.axes[0]!;
  const last = (outermost.cells - 1) * strides[0]!;
  const halfCell = outermost.lengthM / outermost.cells / 2;
  const outwards =
    halfCell / body.conductivityWPerMK / (halfCell / body.conductivityWPerMK + 1 / body.hWPerM2K);

  let now = new Float64Array(total).fill(run.startC);
  let next = new Float64Array(total);
  for (let step = 1; step <= steps; step++) {
    const airC = run.airC((step - 0.5) * dtS);
    for (let place = 0; place < total; place++) {
      const hereC = now[place]!;
      let rate = run.warmingKPerS ?? 0;
      for (let axis = 0; axis < exchanges.length; axis++) {
        const { below, above, cells } = exchanges[axis]!;
        const stride = strides[axis]!;
        const cell = Math.floor(place / stride) % cells;
        if (cell > 0) rate += below[cell]! * (now[place - stride]! - hereC);
        rate += above[cell]! * ((cell === cells - 1 ? airC : now[place + stride]!) - hereC);
      }
      next[place] = hereC + dtS * rate;
    }
    [now, next] = [next, now];
    // The innermost cell's mean is a little off the centre: a parabola through the first two cells of each axis.
    const centreC = body.axes.reduce((sum, { form }, axis) => {
      const order = power[form];
      const inner = (order + 1) / (order + 3);
      const outer = (inner * (2 ** (order + 3) - 1)) / (2 ** (order + 1) - 1);
      return sum - (inner / (outer - inner)) * (now[strides[axis]!]! - now[0]!);
    }, now[0]!);
    let heat = 0;
    for (let place = 0; place < total; place++) heat += now[place]! * volumes[place]!;
    const surfaceC = now[last]! + outwards * (airC - now[last]!);
    run.each(step * dtS, { centreC, meanC: heat / wholeVolume, surfaceC });
  }
}
