import { useSignal } from '@preact/signals';
import { useLayoutEffect, useRef } from 'preact/hooks';
import type { AlarmView } from '../../../shared/alarms.ts';
import { minuteMs } from '../../../shared/time.ts';
import { WhoField } from '../doors/who-field.tsx';
import { spanOf } from '../format/time.ts';
import { inScreenUnit } from '../format/value.ts';
import { settings } from '../settings.ts';
import { alarms as text } from '../text/alarms.ts';
import { actOn } from './act.ts';

interface Props {
  /** Null while nothing is being shelved. */
  alarm: AlarmView | null;
  /** The longest that it may be shelved, minutes; the usual cap where it is not known here. */
  capMin?: number;
  onDone(): void;
}

const usualCapMin = 480;

/** Shelving always has a reason and an end. */
export function ShelveDialog({ alarm, capMin = usualCapMin, onDone }: Props) {
  const dialog = useRef<HTMLDialogElement>(null);
  const minutes = useSignal(60);
  const oneShot = useSignal(false);
  const why = useSignal('');
  const problem = useSignal<string | null>(null);
  // Of the alarm's id alone: its numbers change while somebody reads what is wrong here.
  useLayoutEffect(() => {
    const { current } = dialog;
    if (alarm !== null && current?.open === false) current.showModal();
    if (alarm === null && current?.open === true) current.close();
    problem.value = null;
  }, [alarm?.id]);

  const shelve = async (event: Event) => {
    event.preventDefault();
    if (alarm === null) return;
    if (why.value.trim() === '') {
      problem.value = text.whyMissing;
      return;
    }
    const refused = await actOn(alarm.id, {
      act: 'shelve',
      forMinutes: minutes.value,
      oneShot: oneShot.value,
      why: why.value.trim(),
    });
    problem.value = refused === null ? null : text.failed(refused);
    if (refused !== null) return;
    why.value = '';
    onDone();
  };

  return (
    <dialog ref={dialog} class="shelve" aria-labelledby="shelve-title" onClose={onDone}>
      <form onSubmit={shelve} noValidate>
        <h2 id="shelve-title">
          {text.shelveTitle(inScreenUnit(alarm?.title ?? '', settings.value.temperature))}
        </h2>
        <p class="quiet">
          {text.shelveHint}
          {alarm?.id.startsWith('unload-beyond/') ? ` ${text.shelveBeyond}` : ''}
        </p>
        <fieldset class="shelve-time">
          <legend>
            {text.minutes} ({text.cap(spanOf(capMin * minuteMs))})
          </legend>
          {text.choices
            .filter(([value]) => value <= capMin)
            .map(([value, words]) => (
              <label class="kind" key={value}>
                <input
                  type="radio"
                  name="minutes"
                  checked={minutes.value === value}
                  onChange={() => {
                    minutes.value = value;
                  }}
                />
                <span>{words}</span>
              </label>
            ))}
        </fieldset>
        <label class="channel">
          <input
            type="checkbox"
            checked={oneShot.value}
            onChange={(event) => {
              oneShot.value = event.currentTarget.checked;
            }}
          />
          <span>{text.oneShot}</span>
        </label>
        <div class={problem.value === null ? 'field' : 'field field-wrong'}>
          <label for="shelve-why">{text.why}</label>
          <input
            id="shelve-why"
            value={why.value}
            maxLength={300}
            aria-invalid={problem.value !== null}
            aria-describedby="shelve-problem"
            onInput={(event) => {
              why.value = event.currentTarget.value;
            }}
          />
          <p class="field-problem" id="shelve-problem" role="status" hidden={problem.value === null}>
            {problem.value}
          </p>
        </div>
        <WhoField id="shelve-who" label={text.who} />
        <p class="page-acts-inline">
          <button type="submit" class="button button-chief">
            {text.send}
          </button>
          <button type="button" class="button" onClick={() => dialog.current?.close()}>
            {text.cancel}
          </button>
        </p>
      </form>
    </dialog>
  );
}
