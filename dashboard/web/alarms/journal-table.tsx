import type { AlarmJournalEntry } from '../../../shared/alarms.ts';
import type { FarmView } from '../../../shared/live.ts';
import { datedMomentOf } from '../format/time.ts';
import { inScreenUnit, writingOf, written } from '../format/value.ts';
import { link } from '../screen.ts';
import { settings } from '../settings.ts';
import { alarms as text } from '../text/alarms.ts';
import { common } from '../text/common.ts';

interface Props {
  entries: readonly AlarmJournalEntry[];
  farm: FarmView;
  /** On the page of one alarm its name need not be said in every line. */
  ofOne?: boolean;
}

/** Journal lines as a table, in the order given. */
export function JournalTable({ entries, farm, ofOne = false }: Props) {
  const head = text.journalHead;
  const unit = settings.value.temperature;
  const valueText = ({ alarm, value }: AlarmJournalEntry) => {
    const quantity = farm.channels.find((channel) => alarm.endsWith(`.${channel.quantity}`))?.quantity;
    return value === null || quantity === undefined ? '' : written(value, writingOf(quantity, unit));
  };
  return (
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
          {entries.map((entry) => (
            <tr key={entry.seq}>
              <td class="when">{datedMomentOf(entry.t, farm.site.timeZone)}</td>
              <td>
                {ofOne ? (
                  inScreenUnit(entry.title, unit)
                ) : (
                  <a class="row-link" href={link({ name: 'alarm', id: entry.alarm })}>
                    {inScreenUnit(entry.title, unit)}
                  </a>
                )}
              </td>
              <td>
                <strong>{common.alarmState[entry.to]}</strong>
                <span class="quiet"> {text.event(entry.event, common.alarmState[entry.from])}</span>{' '}
                {entry.why === null ? null : <q>{entry.why}</q>}
              </td>
              <td>{entry.who}</td>
              <td class="number">{valueText(entry)}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}
