import type { AlarmView } from '../../../shared/alarms.ts';
import type { RunState } from '../../../shared/live.ts';
import { hourMs } from '../../../shared/time.ts';
import { momentOf, spanOf } from '../format/time.ts';
import { NotRead } from '../parts/not-read.tsx';
import { useAnswer } from '../parts/use-answer.ts';
import { train as text } from '../text/train.ts';

interface Line {
  t: number;
  what: string;
  seenAt: number | null;
  seenBy: string | null;
}

interface Props {
  run: RunState;
  now: number;
  zone: string;
  alarms: readonly AlarmView[];
}

/** The plain list at the end, and as it grows: what happened, when it was seen, by whom. */
export function Report({ run, now, zone, alarms }: Props) {
  const stamp = `${run.ended} ${Math.floor(now / hourMs)} ${alarms.map(({ id, state }) => id + state).join()}`;
  const asked = useAnswer<Line[]>('/api/training/report', stamp);
  const lines = asked.value ?? [];
  const head = text.reportHead;
  return (
    <section class="card report" aria-labelledby="report">
      <h2 id="report">{text.report}</h2>
      <NotRead asked={asked} />
      {lines.length === 0 ? (
        <p class="quiet">{text.reportNone(run.ended)}</p>
      ) : (
        <div class="table-wrap">
          <table class="stack">
            <thead>
              <tr>
                <th scope="col">{head.when}</th>
                <th scope="col">{head.what}</th>
                <th scope="col">{head.seen}</th>
                <th scope="col">{head.took}</th>
                <th scope="col">{head.by}</th>
              </tr>
            </thead>
            <tbody>
              {lines.map(({ t, what, seenAt, seenBy }) => (
                <tr key={`${t} ${what}`}>
                  <td class="when">{momentOf(t, zone)}</td>
                  <td>{what}</td>
                  <td class="when">
                    {seenAt === null ? <strong>{text.notSeen}</strong> : momentOf(seenAt, zone)}
                  </td>
                  <td class={seenAt === null ? 'when blank' : 'when'} data-label={head.took}>
                    {seenAt === null ? '–' : seenAt < t ? text.seenBefore : spanOf(seenAt - t)}
                  </td>
                  <td class={seenBy === null ? 'blank' : undefined} data-label={head.by}>
                    {seenBy ?? '–'}
                  </td>
                </tr>
              ))}
            </tbody>
          </table>
        </div>
      )}
    </section>
  );
}
