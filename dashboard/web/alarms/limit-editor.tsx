import { useSignal } from '@preact/signals';
import type { FarmView } from '../../../shared/live.ts';
import { dayMs } from '../../../shared/time.ts';
import type { BackTest, LimitChange, LimitedBand } from '../../../shared/tuning.ts';
import { ask } from '../api.ts';
import { whoHere } from '../doors/entry.ts';
import { WhoField } from '../doors/who-field.tsx';
import { site } from '../screen.ts';
import { settings } from '../settings.ts';
import { alarms } from '../text/alarms.ts';
import { common } from '../text/common.ts';
import { limits as text } from '../text/limits.ts';
import { BackTestView } from './back-test-view.tsx';
import {
  changeOf,
  defaultOf,
  draftOf,
  fieldsOf,
  heldSpans,
  type NumberField,
  type Unread,
} from './limit-draft.ts';
import { TimesOfDay } from './times-of-day.tsx';

interface Props {
  band: LimitedBand;
  farm: FarmView;
  onSaved(): void;
}

const spans = [7, 21, 30, 90];

/** The numbers of one band: tried on the past, then saved. */
export function LimitEditor({ band, farm, onSaved }: Props) {
  const { base, now } = site.value;
  const { temperature } = settings.value;
  // The band as it was when editing began: what is saved is checked against it.
  const began = useSignal(band);
  const draft = useSignal(draftOf(band, temperature));
  const days = useSignal(21);
  const wrong = useSignal<Unread | null>(null);
  const problem = useSignal<string | null>(null);
  const said = useSignal('');
  const busy = useSignal(false);
  const tried = useSignal<{ set: LimitChange; result: BackTest } | null>(null);
  const unit = band.unit === '°C' && temperature === 'F' ? '°F' : band.unit;

  const changed = (): LimitChange | null => {
    const read = changeOf(began.value, draft.value, temperature);
    wrong.value = read.ok ? null : read;
    problem.value = read.ok ? null : whatIsWrong(read);
    return read.ok ? read.set : null;
  };
  const tell = async <T,>(path: string, set: LimitChange, more: object): Promise<T | null> => {
    busy.value = true;
    problem.value = null;
    said.value = '';
    const { at, measure } = band;
    const answer = await ask<T>(`${base}${path}`, { at, measure, set, ...more });
    busy.value = false;
    if (answer.ok) return answer.value;
    problem.value = answer.problem.text;
    return null;
  };
  const tryIt = async () => {
    const set = changed();
    if (set === null) return;
    const to = Math.floor(now.peek());
    const result = await tell<BackTest>('/limits/back-test', set, { from: to - days.value * dayMs, to });
    if (result !== null) tried.value = { set, result };
  };
  const save = async () => {
    const set = changed();
    if (set === null) return;
    const sent = draft.peek();
    const saved = await tell<LimitedBand>('/limits', set, { version: began.value.version, who: whoHere() });
    if (saved === null) return;
    began.value = saved;
    // What was typed meanwhile stays.
    if (draft.peek() === sent) draft.value = draftOf(saved, temperature);
    said.value = text.saved;
    onSaved();
  };
  const lookAgain = () => {
    began.value = band;
    draft.value = draftOf(band, temperature);
    problem.value = null;
    onSaved();
  };

  const isWrong = (field: NumberField) => wrong.value?.span === undefined && wrong.value?.field === field;
  const outdated = began.value.version !== band.version;
  const id = (name: string) => `${band.at}-${band.measure}-${name}`;
  return (
    <form
      class="limit-editor"
      onSubmit={(event) => {
        event.preventDefault();
        void tryIt();
      }}
      noValidate
    >
      <div class="limit-fields">
        {fieldsOf(band).map((field) => (
          <div class={isWrong(field) ? 'field field-wrong' : 'field'} key={field}>
            <label for={id(field)}>
              {text.field[field]} <span class="quiet">{unitOf(field, unit)}</span>
            </label>
            <input
              id={id(field)}
              inputMode="decimal"
              autocomplete="off"
              value={draft.value[field]}
              disabled={field === 'reAlarmMin' && draft.value.neverAgain}
              placeholder={defaultOf(began.value, field, temperature) ?? text.unset(field)}
              aria-invalid={isWrong(field)}
              aria-describedby={isWrong(field) ? id('problem') : undefined}
              onInput={(event) => {
                draft.value = { ...draft.value, [field]: event.currentTarget.value };
              }}
            />
          </div>
        ))}
        <label class="check">
          <input
            type="checkbox"
            checked={draft.value.neverAgain}
            onChange={(event) => {
              draft.value = { ...draft.value, neverAgain: event.currentTarget.checked };
            }}
          />{' '}
          {text.neverAgain}
        </label>
        <div class="field">
          <label for={id('priority')}>{text.urgency}</label>
          <select
            id={id('priority')}
            value={draft.value.priority}
            onChange={(event) => {
              draft.value = { ...draft.value, priority: event.currentTarget.value };
            }}
          >
            <option value="">{text.usual}</option>
            {['1', '2', '3'].map((priority) => (
              <option key={priority} value={priority}>
                {common.priority(Number(priority))}
              </option>
            ))}
          </select>
        </div>
        <div class="field">
          <label for={id('days')}>{text.over}</label>
          <select
            id={id('days')}
            value={String(days.value)}
            onChange={(event) => {
              days.value = Number(event.currentTarget.value);
            }}
          >
            {spans.map((span) => (
              <option key={span} value={String(span)}>
                {alarms.lastDays(span)}
              </option>
            ))}
          </select>
        </div>
        <WhoField id={id('who')} label={alarms.who} />
      </div>
      <p class="quiet">{text.emptyHint}</p>
      <TimesOfDay
        id={id('time')}
        unit={unit}
        spans={draft.value.during}
        held={heldSpans(began.value, temperature)}
        wrong={wrong.value}
        problemId={id('problem')}
        onChange={(during) => {
          draft.value = { ...draft.value, during };
        }}
      />
      <p class="field-problem" id={id('problem')} role="alert" hidden={problem.value === null}>
        {problem.value}
      </p>
      {outdated ? (
        <p class="limit-outdated" role="status">
          {text.outdated}{' '}
          <button type="button" class="button" onClick={lookAgain}>
            {text.lookAgain}
          </button>
        </p>
      ) : null}
      <p class="filters-acts">
        <button type="submit" class="button button-chief" disabled={busy.value}>
          {busy.value ? common.loading : text.tryIt}
        </button>
        <button type="button" class="button" disabled={busy.value} onClick={save}>
          {text.save}
        </button>
        <span role="status">{said.value}</span>
      </p>
      {tried.value === null ? null : <BackTestView band={began.value} farm={farm} {...tried.value} />}
    </form>
  );
}

function unitOf(field: NumberField, unit: string): string {
  if (field.endsWith('DelayS')) return 's';
  if (field.endsWith('Min')) return 'min';
  return field.endsWith('PerH') ? `${unit}/h` : unit;
}

function whatIsWrong(read: Unread): string {
  if (read.span === undefined)
    return read.over === undefined
      ? text.noNumber(text.field[read.field])
      : text.crossed(text.field[read.field], text.field[read.over]);
  const { field, span } = read;
  return field === 'from' || field === 'to'
    ? text.times.noTime(span + 1)
    : text.noNumber(`${text.times.one(span + 1)}, ${text.field[field]}`);
}
