import '../styles/alarms.css';
import { useSignal } from '@preact/signals';
import type { AlarmJournalEntry, AlarmState } from '../../../shared/alarms.ts';
import { NotRead } from '../parts/not-read.tsx';
import { useAnswer } from '../parts/use-answer.ts';
import { site } from '../screen.ts';
import { alarms as text } from '../text/alarms.ts';
import { common } from '../text/common.ts';
import { AlarmTabs } from './alarm-tabs.tsx';
import { everything, filterOf, type JournalFilter, questionOf, searchOf } from './journal-question.ts';
import { JournalTable } from './journal-table.tsx';

const atOnce = 100;
const priorities = ['1', '2', '3'];
const spans = ['1', '7', '30', '90'];

/** Everything that ever happened to an alarm, narrowed by time, place, state, person and priority. */
export function JournalPage() {
  const { state, base, now } = site.value;
  const { farm } = state.value!;
  const filter = useSignal<JournalFilter>(filterOf(location.search));
  const before = useSignal<number | null>(null);
  const asOf = useSignal(now.peek());
  const question = questionOf(filter.value, asOf.value, before.value);
  const asked = useAnswer<AlarmJournalEntry[]>(`${base}/alarms/journal?limit=${atOnce}&${question}`);
  const entries = asked.value ?? [];

  const look = (part: Partial<JournalFilter>) => {
    filter.value = { ...filter.value, ...part };
    before.value = null;
    asOf.value = now.peek();
    history.replaceState(null, '', `${location.pathname}?${searchOf(filter.value)}`);
  };
  const choice = (
    name: keyof JournalFilter,
    values: readonly (readonly [value: string, words: string])[],
  ) => (
    <div class="field">
      <label for={`filter-${name}`}>{text.filters[name]}</label>
      <select
        id={`filter-${name}`}
        value={filter.value[name]}
        onChange={(event) => look({ [name]: event.currentTarget.value })}
      >
        <option value="">{text.any}</option>
        {values.map(([value, words]) => (
          <option key={value} value={value}>
            {words}
          </option>
        ))}
      </select>
    </div>
  );
  const states = Object.entries(common.alarmState) as [AlarmState, string][];
  const places = farm.rooms.flatMap((room): [string, string][] => [
    [room.id, room.name],
    ...room.racks.flatMap(({ shelves }) =>
      shelves.map(({ id }): [string, string] => [id, `${room.name}, ${id}`]),
    ),
  ]);
  return (
    <div class="alarms">
      <div class="page-head">
        <h1>{text.journal}</h1>
        <AlarmTabs />
      </div>
      <search class="card filters" aria-label={text.filtersLabel}>
        {choice(
          'days',
          spans.map((days) => [days, text.lastDays(Number(days))]),
        )}
        {choice('place', places)}
        {choice('state', states)}
        {choice(
          'priority',
          priorities.map((priority) => [priority, common.priority(Number(priority))]),
        )}
        <div class="field">
          <label for="filter-who">{text.filters.who}</label>
          <input
            id="filter-who"
            value={filter.value.who}
            maxLength={80}
            autocomplete="off"
            onChange={(event) => look({ who: event.currentTarget.value })}
          />
        </div>
        <p class="filters-acts">
          <button type="button" class="button" onClick={() => look(everything)}>
            {text.noFilter}
          </button>
          <a class="button" href={`${base}/alarms/journal.csv?${question}`} download="alarm-journal.csv">
            {text.csv}
          </a>
        </p>
      </search>
      <section class="card journal" aria-label={text.journal}>
        <NotRead asked={asked} />
        {asked.value?.length === 0 ? <p class="quiet">{text.journalNone}</p> : null}
        <JournalTable entries={entries} farm={farm} />
        <p class="filters-acts">
          {before.value === null ? null : (
            <button
              type="button"
              class="button"
              onClick={() => {
                before.value = null;
              }}
            >
              {text.newest}
            </button>
          )}
          {entries.length < atOnce ? null : (
            <button
              type="button"
              class="button"
              onClick={() => {
                before.value = entries.at(-1)!.seq;
                scrollTo(0, 0);
              }}
            >
              {text.older}
            </button>
          )}
        </p>
      </section>
    </div>
  );
}
