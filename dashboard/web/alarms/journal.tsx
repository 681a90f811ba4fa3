import type { AlarmJournalEntry } from '../../../shared/alarms.ts';
import type { FarmView } from '../../../shared/live.ts';
import { datedMomentOf } from '../format/time.ts';
import { inScreenUnit, writingOf, written } from '../format/value.ts';
import { useAnswer } from '../parts/use-answer.ts';
import { site } from '../screen.ts';
import { settings } from '../settings.ts';
import { alarms as text } from '../text/alarms.ts';
import { common } from '../text/common.ts';

interface Props {
  /** Changes whenever the journal may have grown. */
  stamp: string;
  zone: string;
  farm: FarmView;
}

/** Every step of every alarm, newest first. */
export function Journal({ stamp, zone, farm }: Props) {
  const asked = useAnswer<AlarmJournalEntry[]>(`${site.value.base}/alarms/journal?limit=100`, stamp);
  const head = text.journalHead;
  const unit = settings.value.temperature;
  const valueText = ({ alarm, value }: AlarmJournalEntry) => {
    const quantity = farm.channels.find((channel) => alarm.endsWith(`.${channel.quantity}`))?.quantity;
    return value === null || quantity === undefined ? '' : written(value, writingOf(quantity, unit));
  };
  return (
    <section class="card journal" aria-labelledby="journal">
      <h2 id="journal">{text.journal}</h2>
      {asked.failed === null ? null : <p>{common.failed(asked.failed)}</p>}
      {asked.value?.length === 0 ? <p class="quiet">{text.journalNone}</p> : null}
      <div class="table-wrap">
        <table class="stack">
          <thead>
            <tr>
              <th scope="col">{head.when}</th>
              <th scope="col">{head.what}</th>
              <th scope="col">{head.event}</th>
              <th scope="col">{head.who}</th>
              <th scope="col" class="number">
                {head.value}
              </th>
            </tr>
          </thead>
          <tbody>
            {(asked.value ?? []).map((entry) => (
              <tr key={entry.seq}>
                <td class="when">{datedMomentOf(entry.t, zone)}</td>
                <td>{inScreenUnit(entry.title, unit)}</td>
                <td>
                  <strong>{common.alarmState[entry.to]}</strong>
                  <span class="quiet"> {text.event(entry.event, common.alarmState[entry.from])}</span>
                  {entry.why === null ? null : <q> {entry.why}</q>}
                </td>
                <td>{entry.who}</td>
                <td class="number">{valueText(entry)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
    </section>
  );
}
