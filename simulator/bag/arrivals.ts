import type { Places, Space } from './space.ts';

/**
 * Points from which mycelium (or something unwanted) spreads; of each, one after another: x, y, z [mm],
 * `delay`, the way that a punctual front has gone before this one starts [mm], and `drag`, by which
 * distance counts: above 1 for a weak point.
 */
export type Points = Float64Array;
export const pointFields = 5;

const pointsPerCell = 3;

const cellAlong = (value: number, sizeMm: number, count: number) =>
  Math.min(count - 1, Math.max(0, Math.floor(value / sizeMm)));

/** Points laid out cell by cell: cell c holds those from `starts[c]` to `starts[c + 1]`. */
interface Cells {
  sizeMm: number;
  nx: number;
  ny: number;
  nz: number;
  starts: Int32Array;
  points: Points;
  leastDrag: number;
}

function sortIntoCells(space: Space, points: Points): Cells {
  const { halfWidthMm, halfDepthMm, heightMm } = space;
  const count = points.length / pointFields;
  const sizeMm = Math.cbrt((4 * halfWidthMm * halfDepthMm * heightMm * pointsPerCell) / count);
  const along = (extent: number) => Math.max(1, Math.ceil(extent / sizeMm));
  const [nx, ny, nz] = [along(2 * halfWidthMm), along(2 * halfDepthMm), along(heightMm)];
  const cellOf = new Int32Array(count);
  const starts = new Int32Array(nx * ny * nz + 1);
  let leastDrag = Number.POSITIVE_INFINITY;
  for (let i = 0; i < count; i += 1) {
    const at = i * pointFields;
    const ix = cellAlong(points[at]! + halfWidthMm, sizeMm, nx);
    const iy = cellAlong(points[at + 1]! + halfDepthMm, sizeMm, ny);
    const cell = (cellAlong(points[at + 2]!, sizeMm, nz) * ny + iy) * nx + ix;
    cellOf[i] = cell;
    starts[cell + 1]! += 1;
    leastDrag = Math.min(leastDrag, points[at + 4]!);
  }
  for (let cell = 1; cell < starts.length; cell += 1) starts[cell]! += starts[cell - 1]!;
  const next = starts.slice();
  const sorted = new Float64Array(points.length);
  for (let i = 0; i < count; i += 1) {
    const to = next[cellOf[i]!]!++ * pointFields;
    for (let field = 0; field < pointFields; field += 1)
      sorted[to + field] = points[i * pointFields + field]!;
  }
  return { sizeMm, nx, ny, nz, starts, points: sorted, leastDrag };
}

/**
 * When the first front reaches each place: min over points of delay + drag * distance, in mm of a
 * standard front's way. Cells are searched ring by ring outward until none further out can be sooner.
 * With no points at all, nothing arrives: Infinity.
 */
export function firstArrivals(space: Space, places: Places, all: Points): Float32Array {
  const arrivals = new Float32Array(places.length / 3).fill(Number.POSITIVE_INFINITY);
  if (all.length === 0) return arrivals;
  const { sizeMm, nx, ny, nz, starts, points, leastDrag } = sortIntoCells(space, all);
  const rings = Math.max(nx, ny, nz);

  for (let place = 0; place < arrivals.length; place += 1) {
    const x = places[3 * place]!;
    const y = places[3 * place + 1]!;
    const z = places[3 * place + 2]!;
    const cx = cellAlong(x + space.halfWidthMm, sizeMm, nx);
    const cy = cellAlong(y + space.halfDepthMm, sizeMm, ny);
    const cz = cellAlong(z, sizeMm, nz);
    let best = Number.POSITIVE_INFINITY;
    for (let ring = 0; ring <= rings && best > (ring - 1) * sizeMm * leastDrag; ring += 1)
      for (let iz = Math.max(0, cz - ring); iz <= Math.min(nz - 1, cz + ring); iz += 1)
        for (let iy = Math.max(0, cy - ring); iy <= Math.min(ny - 1, cy + ring); iy += 1) {
          const onFace = ring === 0 || Math.abs(iz - cz) === ring || Math.abs(iy - cy) === ring;
          const stride = onFace ? 1 : 2 * ring;
          for (let ix = cx - ring; ix <= cx + ring; ix += stride) {
            if (ix < 0 || ix >= nx) continue;
            const cell = (iz * ny + iy) * nx + ix;
            const end = starts[cell + 1]! * pointFields;
            for (let at = starts[cell]! * pointFields; at < end; at += pointFields) {
              const dx = x - points[at]!;
              const dy = y - points[at + 1]!;
              const dz = z - points[at + 2]!;
              const way = points[at + 3]! + points[at + 4]! * Math.sqrt(dx * dx + dy * dy + dz * dz);
              if (way < best) best = way;
            }
          }
        }
    arrivals[place] = best;
  }
  return arrivals;
}
