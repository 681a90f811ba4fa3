import '../styles/alarms.css';
import { useSignal } from '@preact/signals';
import type { AlarmView } from '../../../shared/alarms.ts';
import { byUrgency, shownAlarms } from '../climate.ts';
import { site } from '../screen.ts';
import { alarms as text } from '../text/alarms.ts';
import { AlarmCard } from './alarm-card.tsx';
import { AlarmTabs } from './alarm-tabs.tsx';
import { Journal } from './journal.tsx';
import { ShelveDialog } from './shelve-dialog.tsx';

const heldBackStates: ReadonlySet<AlarmView['state']> = new Set(['shelved', 'suppressed', 'out-of-service']);

/** What rings, what is held back and by whom, and everything that ever happened to an alarm. */
export function AlarmsPage() {
  const live = site.value.state.value!;
  const shelving = useSignal<AlarmView | null>(null);
  const shown = shownAlarms(live.alarms);
  const heldBack = live.alarms.filter(({ state }) => heldBackStates.has(state)).sort(byUrgency);
  const card = (alarm: AlarmView) => (
    <AlarmCard
      key={alarm.id}
      alarm={alarm}
      live={live}
      onShelve={() => {
        shelving.value = alarm;
      }}
    />
  );
  // The journal is asked for again as soon as any alarm is in another state.
  const stamp = live.alarms.map(({ id, state, since }) => `${id} ${state} ${since}`).join();
  return (
    <div class="alarms">
      <div class="page-head">
        <h1>{text.title}</h1>
        <AlarmTabs />
      </div>
      <section aria-labelledby="alarms-now">
        <h2 id="alarms-now" class="unseen">
          {text.now}
        </h2>
        {shown.length + heldBack.length === 0 ? <p class="card alarms-none">{text.none}</p> : null}
        <ul class="alarm-list">{shown.map(card)}</ul>
      </section>
      {heldBack.length === 0 ? null : (
        <section aria-labelledby="alarms-held">
          <h2 id="alarms-held">{text.heldBack}</h2>
          <ul class="alarm-list">{heldBack.map(card)}</ul>
        </section>
      )}
      <Journal stamp={stamp} farm={live.farm} />
      <ShelveDialog
        alarm={shelving.value}
        onDone={() => {
          shelving.value = null;
        }}
      />
    </div>
  );
}
