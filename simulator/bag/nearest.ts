import type { Place, Space } from './space.ts';

/** A place from which mycelium (or something unwanted) spreads. */
export interface Point extends Place {
  /** Distance that a punctual front has covered before this one starts [mm]. */
  delayMm: number;
  /** Distance counts this many times: above 1 for a weak point. */
  drag: number;
}

/** Points laid out cell by cell in flat arrays: cell c holds those from `starts[c]` to `starts[c + 1]`. */
interface Cells {
  sizeMm: number;
  counts: [number, number, number];
  starts: Int32Array;
  x: Float64Array;
  y: Float64Array;
  z: Float64Array;
  delay: Float64Array;
  drag: Float64Array;
  leastDrag: number;
}

const pointsPerCell = 3;

const cellAlong = (value: number, sizeMm: number, count: number) =>
  Math.min(count - 1, Math.max(0, Math.floor(value / sizeMm)));

function fillCells(space: Space, points: readonly Point[]): Cells {
  const { halfWidthMm, halfDepthMm, heightMm } = space;
  const extents = [2 * halfWidthMm, 2 * halfDepthMm, heightMm] as const;
  const sizeMm = Math.cbrt((extents[0] * extents[1] * extents[2] * pointsPerCell) / points.length);
  const along = (extent: number) => Math.max(1, Math.ceil(extent / sizeMm));
  const counts: Cells['counts'] = [along(extents[0]), along(extents[1]), along(extents[2])];
  const [nx, ny, nz] = counts;
  const cellOf = ({ x, y, z }: Place) =>
    (cellAlong(z, sizeMm, nz) * ny + cellAlong(y + halfDepthMm, sizeMm, ny)) * nx +
    cellAlong(x + halfWidthMm, sizeMm, nx);

  const starts = new Int32Array(nx * ny * nz + 1);
  for (const point of points) starts[cellOf(point) + 1]! += 1;
  for (let i = 1; i < starts.length; i += 1) starts[i]! += starts[i - 1]!;
  const next = starts.slice();
  const column = () => new Float64Array(points.length);
  const cells = { x: column(), y: column(), z: column(), delay: column(), drag: column() };
  let leastDrag = Number.POSITIVE_INFINITY;
  for (const point of points) {
    const at = next[cellOf(point)]!++;
    cells.x[at] = point.x;
    cells.y[at] = point.y;
    cells.z[at] = point.z;
    cells.delay[at] = point.delayMm;
    cells.drag[at] = point.drag;
    leastDrag = Math.min(leastDrag, point.drag);
  }
  return { sizeMm, counts, starts, ...cells, leastDrag };
}

/**
 * First arrival of any front at a place: min over points of delay + drag * distance, in mm of a
 * standard front's way. Cells are searched ring by ring outward until no cell further out can be
 * sooner. With no points at all, nothing arrives: Infinity.
 */
export function createArrivalField(space: Space, points: readonly Point[]): (place: Place) => number {
  if (points.length === 0) return () => Number.POSITIVE_INFINITY;
  const cells = fillCells(space, points);
  const { sizeMm, starts, leastDrag } = cells;
  const [nx, ny, nz] = cells.counts;
  const rings = Math.max(nx, ny, nz);

  const bestInCell = (cell: number, { x, y, z }: Place, best: number) => {
    const end = starts[cell + 1]!;
    for (let i = starts[cell]!; i < end; i += 1) {
      const dx = x - cells.x[i]!;
      const dy = y - cells.y[i]!;
      const dz = z - cells.z[i]!;
      const way = cells.delay[i]! + cells.drag[i]! * Math.sqrt(dx * dx + dy * dy + dz * dz);
      if (way < best) best = way;
    }
    return best;
  };

  return (place) => {
    const cx = cellAlong(place.x + space.halfWidthMm, sizeMm, nx);
    const cy = cellAlong(place.y + space.halfDepthMm, sizeMm, ny);
    const cz = cellAlong(place.z, sizeMm, nz);
    let best = bestInCell((cz * ny + cy) * nx + cx, place, Number.POSITIVE_INFINITY);
    for (let ring = 1; ring <= rings && best > (ring - 1) * sizeMm * leastDrag; ring += 1)
      for (let iz = Math.max(0, cz - ring); iz <= Math.min(nz - 1, cz + ring); iz += 1)
        for (let iy = Math.max(0, cy - ring); iy <= Math.min(ny - 1, cy + ring); iy += 1) {
          const onFace = Math.abs(iz - cz) === ring || Math.abs(iy - cy) === ring;
          const stride = onFace ? 1 : 2 * ring;
          for (let ix = cx - ring; ix <= cx + ring; ix += stride)
            if (ix >= 0 && ix < nx) best = bestInCell((iz * ny + iy) * nx + ix, place, best);
        }
    return best;
  };
}
