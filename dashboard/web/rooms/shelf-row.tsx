import type { CohortForecast, Provenance } from '../../../shared/forecasts.ts';
import type { FarmView, LiveState } from '../../../shared/live.ts';
import { valueAt } from '../climate.ts';
import { Container, ContainerClips } from '../drawing/container.tsx';
import { glyphBox } from '../drawing/container-shapes.ts';
import type { Standing } from '../drawing/standing.ts';
import { writingOf, written } from '../format/value.ts';
import { link } from '../screen.ts';
import { settings } from '../settings.ts';
import { rooms } from '../text/rooms.ts';
import { CohortItem } from './cohort-item.tsx';

interface Props {
  state: LiveState;
  shelf: FarmView['rooms'][number]['racks'][number]['shelves'][number];
  /** Places of the widest shelf of this rack, so that all its shelves are drawn to one scale. */
  places: number;
  row: readonly Standing[];
  forecasts: ReadonlyMap<string, CohortForecast>;
  alarmed: boolean;
}

const slot = glyphBox.width + 6;
const gap = 14;

/** One shelf: its name and air, what stands on it as it stands, and each batch in words. */
export function ShelfRow({ state, shelf, places, row, forecasts, alarmed }: Props) {
  const cohorts = [...new Set(row.map(({ cohort }) => cohort))];
  return (
    <li class={alarmed ? 'shelf shelf-alarmed' : 'shelf'}>
      <div class="shelf-name">
        <strong>{shelf.id}</strong>
        <ShelfAir state={state} channels={shelf.channels} air={cohorts.map((id) => forecasts.get(id)?.air)} />
      </div>
      <div class="shelf-drawn">
        <ShelfDrawing shelf={shelf.id} row={row} places={places} />
      </div>
      <ul class="shelf-words">
        {cohorts.length === 0 ? <li class="shelf-empty">{rooms.empty}</li> : null}
        {cohorts.map((cohort) => (
          <CohortItem key={cohort} state={state} cohort={cohort} forecast={forecasts.get(cohort)} />
        ))}
      </ul>
    </li>
  );
}

interface AirProps {
  state: LiveState;
  channels: readonly string[];
  /** How the forecasts on this shelf had their air. */
  air: readonly (Provenance | undefined)[];
}

/** The shelf's own air, or a word on where its forecasts take theirs from. */
function ShelfAir({ state, channels, air: provenance }: AirProps) {
  const air = valueAt(state, channels, 'temperature');
  const had = (['filled', 'neighbour'] as const).find((way) => provenance.includes(way));
  if (air === null) return had === undefined ? null : <span class="shelf-air">{rooms.air[had]}</span>;
  const text = written(air.value, writingOf('temperature', settings.value.temperature));
  return (
    <span class={air.trust === 'good' ? 'shelf-air' : 'shelf-air shelf-air-old'}>
      <span class="unseen">{rooms.shelfAir} </span>
      {text}
      {air.trust === 'good' ? null : <em>{rooms.trust[air.trust]}</em>}
    </span>
  );
}

/** The words beside it say the same, so the drawing is for the eye and the mouse only. */
function ShelfDrawing({ shelf, row, places }: { shelf: string; row: readonly Standing[]; places: number }) {
  const width = places * slot + 4 * gap;
  const cohorts = [...new Set(row.map(({ cohort }) => cohort))];
  const gaps = Math.max(0, cohorts.length - 1) * gap;
  const step = Math.min(slot, (width - gaps) / Math.max(1, row.length));
  const clips = `shelf-${shelf}`;
  return (
    <svg
      viewBox={`0 0 ${width} ${glyphBox.height + 12}`}
      preserveAspectRatio="xMinYMax meet"
      aria-hidden="true"
    >
      <ContainerClips clips={clips} />
      {row.map(({ cohort, batch, bag, kind, share, mark }, at) => {
        const x = 4 + at * step + cohorts.indexOf(cohort) * gap;
        return (
          <a href={link({ name: 'batch', id: batch })} tabindex={-1} key={`${cohort}-${bag}`}>
            <g transform={`translate(${x.toFixed(1)} 12)`}>
              <Container kind={kind} share={share ?? 0} seed={bag} mark={mark} clips={clips} detailed />
            </g>
          </a>
        );
      })}
    </svg>
  );
}
