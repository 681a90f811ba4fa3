import type { FarmView } from '../../../shared/live.ts';
import { Container, ContainerClips } from './container.tsx';
import { glyphBox } from './container-shapes.ts';
import type { ByShelf, Standing } from './standing.ts';

type RackView = FarmView['rooms'][number]['racks'][number];

const slot = glyphBox.width + 6;
const storey = glyphBox.height + 24;
const post = 10;
/** A rack is never drawn narrower than this many places, so that small ones do not loom. */
const fewestPlaces = 6;

/** Places and storeys of the largest rack of a room: all its racks are drawn to that scale. */
export const roomScale = (racks: readonly RackView[]) => ({
  places: Math.max(fewestPlaces, ...racks.flatMap(({ shelves }) => shelves.map(({ places }) => places))),
  storeys: Math.max(1, ...racks.map(({ shelves }) => shelves.length)),
});

interface Props {
  rack: RackView;
  standing: ByShelf;
  /** Of the room, see `roomScale`. */
  scale: { places: number; storeys: number };
  /** What the drawing shows, in words. */
  label: string;
  alarmed: ReadonlySet<string>;
}

/** A whole rack as it stands, for the wall. */
export function Rack({ rack, standing, scale, label, alarmed }: Props) {
  const width = scale.places * slot + 2 * post + 12;
  const height = scale.storeys * storey + 14;
  const clips = `clip-${rack.id}`;
  const top = (scale.storeys - rack.shelves.length) * storey;
  return (
    <svg
      class="rack"
      viewBox={`0 0 ${width} ${height}`}
      preserveAspectRatio="xMidYMax meet"
      role="img"
      aria-label={label}
    >
      <ContainerClips clips={clips} />
      <path
        class="post"
        d={`M${post / 2} ${top + 4} V${height} M${width - post / 2} ${top + 4} V${height}`}
      />
      {rack.shelves.map((shelf, level) => {
        const y = top + (level + 1) * storey;
        return (
          <g key={shelf.id}>
            <path
              class={alarmed.has(shelf.id) ? 'plank plank-alarm' : 'plank'}
              d={`M${post / 2} ${y} H${width - post / 2}`}
            />
            <Row
              row={standing.get(shelf.id) ?? []}
              places={shelf.places}
              width={width}
              floor={y - 3}
              clips={clips}
            />
          </g>
        );
      })}
    </svg>
  );
}

interface RowProps {
  row: readonly Standing[];
  places: number;
  width: number;
  floor: number;
  clips: string;
}

/** Containers side by side; more than the shelf has places for stand closer. */
function Row({ row, places, width, floor, clips }: RowProps) {
  const room = width - 2 * post - 12;
  const step = Math.min(slot, room / Math.max(places, row.length));
  return (
    <g>
      {row.map(({ cohort, bag, kind, share, mark }, at) => (
        <g
          key={`${cohort}-${bag}`}
          transform={`translate(${(post + 9 + at * step).toFixed(1)} ${floor - glyphBox.height})`}
        >
          <Container kind={kind} share={share ?? 0} seed={bag} mark={mark} clips={clips} />
        </g>
      ))}
    </g>
  );
}
