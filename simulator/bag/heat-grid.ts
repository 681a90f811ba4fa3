import type { Container } from '../../shared/farm/schema.ts';

/**
 * A container as small cells of one octant (brick) or of radius and half height (cylinder): finer than the
 * rings of `conduction.ts`, for loads whose surface cools much faster than their core.
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
   * Explicit steps over `stepS`, changing `tempsC` in place. Each face meets air and walls through films of
   * its own [W/(m2 K)]; returns what one container gave to each, mean over the step [W].
   */
  step(
    tempsC: number[],
    around: { airC: number; wallC: number; convectiveWPerM2K: number; radiantWPerM2K: number },
    stepS: number,
  ): { airW: number; wallW: number };
}

interface Line {
  /** Widths of cells from the middle outward are equal [m]. */
  width: number;
  count: number;
  /** Volume and outer-face measure of cell i along this axis, per unit of the others. */
  volume(i: number): number;
  face(i: number): number;
}

const cellM = 0.012;
const countOf = (half: number) => Math.min(14, Math.max(4, Math.ceil(half / cellM)));

const straight = (half: number): Line => {
  const count = countOf(half);
  const width = half / count;
  return { width, count, volume: () => width, face: () => 1 };
};
const round = (radius: number): Line => {
  const count = countOf(radius);
  const width = radius / count;
  return {
    ...{ width, count },
    volume: (i) => Math.PI * width ** 2 * ((i + 1) ** 2 - i ** 2),
    face: (i) => 2 * Math.PI * width * (i + 1),
  };
};

interface Link {
  a: number;
  b: number;
  wPerK: number;
}
interface Face {
  cell: number;
  areaM2: number;
  /** From the middle of the cell to its face [m2 K/W]. */
  withinM2KPerW: number;
}

export function createHeatGrid(
  container: Container,
  conductivityWPerMK: number,
  cpJPerKgK: number,
): HeatGrid {
  const { shape, massKg } = container;
  const half = shape.heightM / 2;
  const lines =
    shape.form === 'cylinder'
      ? [round(shape.diameterM / 2), straight(half)]
      : [straight(shape.widthM / 2), straight(shape.depthM / 2), straight(half)];
  /** Octants, or halves of a cylinder, that make up the whole. */
  const parts = shape.form === 'cylinder' ? 2 : 8;
  const cells = lines.reduce((product, { count }) => product * count, 1);
  const strides = lines.map((_, axis) =>
    lines.slice(0, axis).reduce((product, { count }) => product * count, 1),
  );
  const place = (cell: number, axis: number) => Math.floor(cell / strides[axis]!) % lines[axis]!.count;
  const volumeOf = (cell: number, without = -1) =>
    lines.reduce(
      (product, line, axis) => (axis === without ? product : product * line.volume(place(cell, axis))),
      1,
    );

  const links: Link[] = [];
  const faces: Face[] = [];
  const volumes = Array.from({ length: cells }, (_, cell) => volumeOf(cell));
  const wholeM3 = volumes.reduce((sum, volume) => sum + volume, 0);
  const capacityJPerK = massKg * cpJPerKgK;
  const heats = volumes.map((volume) => ((volume / wholeM3) * capacityJPerK) / parts);
  const out = new Float64Array(cells);
  for (let cell = 0; cell < cells; cell += 1)
    lines.forEach(({ width, count, face }, axis) => {
      const at = place(cell, axis);
      const areaM2 = face(at) * volumeOf(cell, axis);
      if (at === count - 1) {
        faces.push({ cell, areaM2, withinM2KPerW: width / 2 / conductivityWPerMK });
        // As if the film were no hindrance: the most that stability must bear.
        out[cell]! += (areaM2 * conductivityWPerMK) / (width / 2);
        return;
      }
      const wPerK = (areaM2 * conductivityWPerMK) / width;
      const b = cell + strides[axis]!;
      links.push({ a: cell, b, wPerK });
      out[cell]! += wPerK;
      out[b]! += wPerK;
    });
  const longestS = 0.9 / Math.max(...heats.map((heat, cell) => out[cell]! / heat));
  const surfaceM2 = parts * faces.reduce((sum, { areaM2 }) => sum + areaM2, 0);
  const flows = new Float64Array(cells);

  return {
    cells,
    capacityJPerK,
    surfaceM2,
    coreC: (tempsC) => tempsC[0]!,
    meanC: (tempsC) => tempsC.reduce((sum, tempC, cell) => sum + tempC * volumes[cell]!, 0) / wholeM3,
    skinC: (tempsC) =>
      (parts * faces.reduce((sum, { cell, areaM2 }) => sum + tempsC[cell]! * areaM2, 0)) / surfaceM2,
    step(tempsC, { airC, wallC, convectiveWPerM2K, radiantWPerM2K }, stepS) {
      const steps = Math.max(1, Math.ceil(stepS / longestS));
      const filmWPerM2K = convectiveWPerM2K + radiantWPerM2K;
      const meetsC = (convectiveWPerM2K * airC + radiantWPerM2K * wallC) / filmWPerM2K;
      let airJ = 0;
      let wallJ = 0;
      for (let n = 0; n < steps; n += 1) {
        flows.fill(0);
        for (const { a, b, wPerK } of links) {
          const flow = wPerK * (tempsC[a]! - tempsC[b]!);
          flows[a]! -= flow;
          flows[b]! += flow;
        }
        for (const { cell, areaM2, withinM2KPerW } of faces) {
          const perM2 = (tempsC[cell]! - meetsC) / (withinM2KPerW + 1 / filmWPerM2K);
          const faceC = meetsC + perM2 / filmWPerM2K;
          flows[cell]! -= areaM2 * perM2;
          airJ += (areaM2 * convectiveWPerM2K * (faceC - airC) * stepS) / steps;
          wallJ += (areaM2 * radiantWPerM2K * (faceC - wallC) * stepS) / steps;
        }
        for (let cell = 0; cell < cells; cell += 1)
          tempsC[cell]! += (flows[cell]! * stepS) / steps / heats[cell]!;
      }
      return { airW: (parts * airJ) / stepS, wallW: (parts * wallJ) / stepS };
    },
  };
}
