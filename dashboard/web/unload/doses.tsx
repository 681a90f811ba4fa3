import type { LiveState } from '../../../shared/live.ts';
import type { UnloadPlan } from '../../../shared/unloads.ts';
import { MarkIcon } from '../drawing/mark.tsx';
import { numberOf, percentOf, writingOf, written } from '../format/value.ts';
import { settings } from '../settings.ts';
import { unload as text } from '../text/unload.ts';
import { DoseTable } from './dose-table.tsx';

interface Props {
  live: LiveState;
  cohorts: UnloadPlan['cohorts'];
}

/** So many are shown at once; whoever passes what it stands is shown in any case. */
const shownAtOnce = 8;

/** Who stands in the room, the most exposed first, and what the load adds to the heat they remember. */
export function Doses({ live, cohorts }: Props) {
  if (cohorts.length === 0) return null;
  const over = cohorts.filter((cohort) => cohort.over);
  const rest = cohorts.filter((cohort) => !cohort.over);
  const room = Math.max(0, shownAtOnce - over.length);
  const hidden = rest.slice(room);
  return (
    <section class="card" aria-labelledby="doses">
      <h2 id="doses">{text.dose}</h2>
      <p class="quiet">{text.doseHint}</p>
      <Table live={live} cohorts={[...over, ...rest.slice(0, room)]} />
      {hidden.length === 0 ? null : (
        <details>
          <summary>{text.lessExposed(hidden.length)}</summary>
          <Table live={live} cohorts={hidden} />
        </details>
      )}
    </section>
  );
}

function Table({ live, cohorts }: Props) {
  const writing = writingOf('temperature', settings.value.temperature);
  const head = text.doseHead;
  return (
    <DoseTable
      live={live}
      head={head}
      rows={cohorts}
      columns={[
        {
          head: head.peak,
          cell: ({ peakC }) =>
            text.range(
              written(peakC.likely, writing),
              numberOf(writing.shown(peakC.low), 1),
              numberOf(writing.shown(peakC.high), 1),
            ),
        },
        { head: head.before, cell: ({ before }) => percentOf(before) },
        {
          head: head.after,
          isOver: ({ over }) => over,
          cell: ({ after, over }) => (
            <>
              {over ? <MarkIcon mark="ran-hot" /> : null}{' '}
              {text.range(percentOf(after.likely), numberOf(after.low * 100, 0), percentOf(after.high))}
              {over ? `, ${after.likely < 1 ? text.mayPass : text.passes}` : ''}
            </>
          ),
        },
      ]}
    />
  );
}
