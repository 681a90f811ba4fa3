import '../styles/doors.css';
import { useSignal } from '@preact/signals';
import type { z } from 'zod';
import type { doorLines } from '../../../shared/api/doors.ts';
import { momentOf } from '../format/time.ts';
import { NotRead } from '../parts/not-read.tsx';
import { useAnswer } from '../parts/use-answer.ts';
import { link, site } from '../screen.ts';
import { doors as text } from '../text/doors.ts';
import { changeWords } from './change-words.ts';

type Lines = z.infer<typeof doorLines>;
const pageLength = 100;

/** Who did what, when and from where; the newest first. */
export function DoorJournalPage() {
  const beforeSeq = useSignal<number | null>(null);
  const query = `limit=${pageLength}${beforeSeq.value === null ? '' : `&beforeSeq=${beforeSeq.value}`}`;
  const asked = useAnswer<Lines>(`/api/doors/journal?${query}`, 0);
  const zone = site.value.state.value?.farm.site.timeZone ?? 'UTC';
  const head = text.journalHead;
  const lines = asked.value?.lines ?? [];
  const firstBreak = asked.value?.firstBreak ?? null;
  return (
    <div class="doors">
      <div class="page-head">
        <h1>{text.journal}</h1>
        <p class="doors-acts">
          <a class="button" href={link({ name: 'doors' })}>
            {text.title}
          </a>
          <a class="button" href="/api/doors/journal.csv?limit=1000" download>
            {text.csv}
          </a>
        </p>
      </div>
      <section class="card">
        <NotRead asked={asked} />
        {asked.value === null ? null : firstBreak === null ? (
          <p class="quiet">{text.whole}</p>
        ) : (
          <p class="doors-refused" role="alert">
            {text.broken(firstBreak)}
          </p>
        )}
        <div class="table-wrap">
          <table class="stack">
            <thead>
              <tr>
                <th scope="col">{head.when}</th>
                <th scope="col">{head.who}</th>
                <th scope="col">{head.act}</th>
                <th scope="col">{head.subject}</th>
                <th scope="col">{head.change}</th>
                <th scope="col">{head.from}</th>
              </tr>
            </thead>
            <tbody>
              {lines.map(({ seq, t, who, act, subject, before, after, address }) => (
                <tr key={seq}>
                  <td class="when">{momentOf(t, zone)}</td>
                  <td>
                    <strong>{who === '' ? text.nobody : who}</strong>
                  </td>
                  <td>{text.act[act] ?? act}</td>
                  <td>{subject}</td>
                  <td class="doors-change">
                    {[before, after]
                      .filter((value) => value !== null)
                      .map(changeWords)
                      .join(' → ')}
                  </td>
                  <td>{address}</td>
                </tr>
              ))}
            </tbody>
          </table>
        </div>
        {lines.length < pageLength ? null : (
          <button
            type="button"
            class="button"
            onClick={() => {
              beforeSeq.value = lines.at(-1)!.seq;
            }}
          >
            {text.older}
          </button>
        )}
      </section>
    </div>
  );
}
