import type { Container } from '../../shared/farm/schema.ts';

/**
 * A container as small cells of one octant (brick) or of radius and half height (cylinder), thin at the faces: finer
 * than the rings of `conduction.ts`, for loads whose surface cools much faster than their core.
 */
export interface HeatGrid {
  cells: number;
  capacityJPerK: number;
  /** Whole outer surface [m2]. */
  surfaceM2: number;
  /** Innermost cell, mean over the volume and mean over the faces' outermost cells [°C]. */
  coreC(tempsC: readonly number[]): number;
  meanC(tempsC: readonly number[]): number;
  skinC(tempsC: readonly number[]): number;
  /**
   * One step, changing `tempsC` in place: implicit along each axis in turn, so it holds for any `stepS`. Each face meets air and walls through films of its own [W/(m2 K)]; returns what one
   * container gave to each, mean over the step [W].
   */
  step(
    tempsC: number[],
    around: { airC: number; wallC: number; convectiveWPerM2K: number; radiantWPerM2K: number },
    stepS: number,
  ): { airW: number; wallW: number };
}

/** One axis, for all lines of cells along it: each measure is per unit of the other axes'. */
interface Axis {
  count: number;
  /** From one cell of a line to the next one of it, among all cells. */
  stride: number;
  volumes: number[];
  /** Between cell i and the next, and of the last one from its middle to its face [W/K, m2 K/W]. */
  links: number[];
  withinM2KPerW: number;
  faceM2: number;
  /** First cell of each line, and its measure across. */
  firsts: number[];
  across: number[];
}

/**
 * A surface out of the vessel cools in its first minutes down to a few millimetres alone: cells as thick as those
 * within would have it give a quarter less at first. From the face inward each is wider than the one before.
 */
const outermostM = 0.002;
const widerBy = 1.6;
const widestM = 0.016;
/** Longer steps are taken in parts, for the same first minutes [s]. */
const longestS = 30;

/** Of cells from the middle outward [m]. */
function widthsOf(half: number): number[] {
  const widths = [outermostM];
  let left = half - outermostM;
  for (let next = widerBy * outermostM; next < widestM && next < left; next *= widerBy) {
    widths.unshift(next);
    left -= next;
  }
  const more = Math.ceil(left / widestM);
  return [...Array.from({ length: more }, () => left / more), ...widths];
}

/** Volumes of cells along an axis and areas of their outer faces, per unit of the other axes. */
function measuresOf(widths: readonly number[], isRound: boolean): { volumes: number[]; faces: number[] } {
  if (!isRound) return { volumes: [...widths], faces: widths.map(() => 1) };
  let inner = 0;
  const edges = widths.map((width) => {
    inner += width;
    return inner;
  });
  return {
    volumes: edges.map((edge, i) => Math.PI * (edge ** 2 - (i === 0 ? 0 : edges[i - 1]! ** 2))),
    faces: edges.map((edge) => 2 * Math.PI * edge),
  };
}

function axesOf({ shape }: Container, conductivityWPerMK: number): Axis[] {
  const half = shape.heightM / 2;
  const lengths =
    shape.form === 'cylinder' ? [shape.diameterM / 2, half] : [shape.widthM / 2, shape.depthM / 2, half];
  const lines = lengths.map((length, axis) => {
    const widths = widthsOf(length);
    return { widths, ...measuresOf(widths, shape.form === 'cylinder' && axis === 0) };
  });
  const counts = lines.map(({ widths }) => widths.length);
  const strides = counts.map((_, axis) =>
    counts.slice(0, axis).reduce((product, count) => product * count, 1),
  );
  const cells = counts.reduce((product, count) => product * count, 1);
  const place = (cell: number, axis: number) => Math.floor(cell / strides[axis]!) % counts[axis]!;
  return lines.map(({ widths, volumes, faces }, axis) => {
    const withinM2KPerW = (i: number) => widths[i]! / 2 / conductivityWPerMK;
    const last = widths.length - 1;
    const firsts = Array.from({ length: cells }, (_, cell) => cell).filter((cell) => place(cell, axis) === 0);
    return {
      ...{ count: widths.length, stride: strides[axis]!, volumes, firsts },
      links: widths.slice(1).map((_, i) => faces[i]! / (withinM2KPerW(i) + withinM2KPerW(i + 1))),
      withinM2KPerW: withinM2KPerW(last),
      faceM2: faces[last]!,
      across: firsts.map((cell) =>
        lines.reduce(
          (product, line, k) => (k === axis ? product : product * line.volumes[place(cell, k)]!),
          1,
        ),
      ),
    };
  });
}

/** Backward Euler along one axis; returns how far faces are above what they meet, each by its area [K m2]. */
function sweep(
  tempsC: number[],
  { count, stride, volumes, links, withinM2KPerW, faceM2, firsts, across }: Axis,
  {
    heatJPerM3K,
    filmWPerM2K,
    meetsC,
    stepS,
  }: { heatJPerM3K: number; filmWPerM2K: number; meetsC: number; stepS: number },
): number {
  const faceWPerK = faceM2 / (withinM2KPerW + 1 / filmWPerM2K);
  // The same for every line (Thomas's elimination): what each cell passes on of the one within, and its own part.
  const passes = new Float64Array(count);
  const own = new Float64Array(count);
  const stores = new Float64Array(count);
  for (let i = 0; i < count; i += 1) {
    stores[i] = (heatJPerM3K * volumes[i]!) / stepS;
    const inward = i > 0 ? links[i - 1]! : 0;
    const outward = i < count - 1 ? links[i]! : faceWPerK;
    own[i] = 1 / (stores[i]! + inward * (1 - (i > 0 ? passes[i - 1]! : 0)) + outward);
    passes[i] = outward * own[i]!;
  }
  let facesKm2 = 0;
  for (let line = 0; line < firsts.length; line += 1) {
    const first = firsts[line]!;
    let known = 0;
    for (let i = 0; i < count; i += 1) {
      const cell = first + i * stride;
      known = own[i]! * (stores[i]! * tempsC[cell]! + (i > 0 ? links[i - 1]! * known : 0));
      tempsC[cell] = known;
    }
    let beyondC = meetsC;
    for (let i = count - 1; i >= 0; i -= 1) {
      const cell = first + i * stride;
      beyondC = tempsC[cell]! + passes[i]! * beyondC;
      tempsC[cell] = beyondC;
    }
    const outerC = tempsC[first + (count - 1) * stride]!;
    facesKm2 += (across[line]! * faceWPerK * (outerC - meetsC)) / filmWPerM2K;
  }
  return facesKm2;
}

export function createHeatGrid(
  container: Container,
  conductivityWPerMK: number,
  cpJPerKgK: number,
): HeatGrid {
  const axes = axesOf(container, conductivityWPerMK);
  /** Octants, or halves of a cylinder, that make up the whole. */
  const parts = container.shape.form === 'cylinder' ? 2 : 8;
  const [along] = axes as [Axis, ...Axis[]];
  const cells = along.count * along.firsts.length;
  const volumes = new Float64Array(cells);
  along.firsts.forEach((first, line) => {
    along.volumes.forEach((volume, i) => {
      volumes[first + i * along.stride] = volume * along.across[line]!;
    });
  });
  const wholeM3 = volumes.reduce((sum, volume) => sum + volume, 0);
  const capacityJPerK = container.massKg * cpJPerKgK;
  const heatJPerM3K = capacityJPerK / parts / wholeM3;
  const faces = axes.flatMap(({ count, stride, firsts, across, faceM2 }) =>
    firsts.map((first, line) => ({ cell: first + (count - 1) * stride, areaM2: faceM2 * across[line]! })),
  );
  const octantM2 = faces.reduce((sum, { areaM2 }) => sum + areaM2, 0);

  return {
    cells,
    capacityJPerK,
    surfaceM2: parts * octantM2,
    coreC: (tempsC) => tempsC[0]!,
    meanC: (tempsC) => tempsC.reduce((sum, tempC, cell) => sum + tempC * volumes[cell]!, 0) / wholeM3,
    skinC: (tempsC) => faces.reduce((sum, { cell, areaM2 }) => sum + tempsC[cell]! * areaM2, 0) / octantM2,
    step(tempsC, { airC, wallC, convectiveWPerM2K, radiantWPerM2K }, stepS) {
      const filmWPerM2K = convectiveWPerM2K + radiantWPerM2K;
      const meetsC = (convectiveWPerM2K * airC + radiantWPerM2K * wallC) / filmWPerM2K;
      const steps = Math.ceil(stepS / longestS);
      let facesKm2 = 0;
      for (let n = 0; n < steps; n += 1)
        for (const axis of axes)
          facesKm2 += sweep(tempsC, axis, { heatJPerM3K, filmWPerM2K, meetsC, stepS: stepS / steps }) / steps;
      return {
        airW: parts * convectiveWPerM2K * (facesKm2 + octantM2 * (meetsC - airC)),
        wallW: parts * radiantWPerM2K * (facesKm2 + octantM2 * (meetsC - wallC)),
      };
    },
  };
}
