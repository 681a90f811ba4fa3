import type { AlarmJournalEntry } from '../../../shared/alarms.ts';
import type { FarmView } from '../../../shared/live.ts';
import { NotRead } from '../parts/not-read.tsx';
import { useAnswer } from '../parts/use-answer.ts';
import { link, site } from '../screen.ts';
import { alarms as text } from '../text/alarms.ts';
import { JournalTable } from './journal-table.tsx';

interface Props {
  /** Changes whenever the journal may have grown. */
  stamp: string;
  farm: FarmView;
}

/** The newest steps of all alarms; the whole journal has a page of its own. */
export function Journal({ stamp, farm }: Props) {
  const asked = useAnswer<AlarmJournalEntry[]>(`${site.value.base}/alarms/journal?limit=30`, stamp);
  return (
    <section class="card journal" aria-labelledby="journal">
      <h2 id="journal">{text.journalNewest}</h2>
      <NotRead asked={asked} />
      {asked.value?.length === 0 ? <p class="quiet">{text.journalNone}</p> : null}
      <JournalTable entries={asked.value ?? []} farm={farm} />
      <p>
        <a class="button" href={link({ name: 'journal' })}>
          {text.journalWhole}
        </a>
      </p>
    </section>
  );
}
