import '../styles/record.css';
import { useSignal } from '@preact/signals';
import { useLayoutEffect, useRef } from 'preact/hooks';
import type { BagEvent } from '../../../shared/bags.ts';
import { writeBags } from '../../../shared/batches/bag-list.ts';
import { nameHere, signedName } from '../doors/entry.ts';
import { site } from '../screen.ts';
import { change } from '../settings.ts';
import { record } from '../text/record.ts';
import { type DraftProblems, eventsOf } from './draft.ts';
import { recordKinds } from './kinds.ts';
import { changeDraft, draft, isOpen, newIds, recallDraft, startAfresh } from './open.ts';
import { RecordFields } from './record-form.tsx';
import { fieldProblems, sendEvents } from './send.ts';

/** One plain form for everything that is done to bags. Nothing typed is lost before it is saved. */
export function RecordPanel() {
  const dialog = useRef<HTMLDialogElement>(null);
  const { name, base, state, now } = site.value;
  const problems = useSignal<DraftProblems>({});
  const refusal = useSignal<string | null>(null);
  const sending = useSignal(false);
  const saved = useSignal<BagEvent[]>([]);
  const takenBack = useSignal(false);

  // Before anything can be tapped: a form opened sooner would begin empty, over what was kept.
  useLayoutEffect(() => {
    recallDraft(name);
    if (draft.peek()?.who === '') changeDraft({ who: nameHere() });
  }, [name]);
  useLayoutEffect(() => {
    const { current } = dialog;
    if (isOpen.value && current?.open === false) current.showModal();
    if (!isOpen.value && current?.open === true) current.close();
  }, [isOpen.value]);

  const live = state.value;
  const typed = draft.value;
  if (live === null || typed === null) return null;

  const save = async (event: Event) => {
    event.preventDefault();
    if (sending.peek()) return;
    const known = { batches: live.batches, now: now.peek(), zone: live.farm.site.timeZone };
    const result = eventsOf({ ...typed, who: signedName.peek() ?? typed.who }, known);
    refusal.value = null;
    problems.value = result.ok ? {} : result.problems;
    if (!result.ok) return focusFirstWrong(dialog.current);
    if (signedName.peek() === null) change({ who: typed.who.trim() });
    sending.value = true;
    const problem = await sendEvents(base, result.events);
    sending.value = false;
    if (problem !== null) {
      refusal.value = problem.text;
      problems.value = fieldProblems(problem, typed.kind === 'made');
      return;
    }
    saved.value = result.events;
    takenBack.value = false;
    startAfresh();
  };

  const takeBack = async () => {
    const first = saved.peek()[0];
    if (first === undefined) return;
    const { batch, who } = first;
    const undone = [...saved.peek()].reverse().map(
      ({ id }): BagEvent => ({
        id: newIds()[0],
        t: Math.round(now.peek()),
        who,
        batch,
        kind: 'undone',
        event: id,
      }),
    );
    const problem = await sendEvents(base, undone);
    if (problem === null) takenBack.value = true;
    else refusal.value = problem.text;
  };

  return (
    <dialog
      ref={dialog}
      class="record"
      aria-labelledby="record-title"
      onClose={() => {
        isOpen.value = false;
      }}
    >
      <form onSubmit={save} noValidate>
        <header class="record-head">
          <h2 id="record-title">{record.title}</h2>
          <button type="button" class="button" onClick={() => dialog.current?.close()}>
            {record.close}
          </button>
        </header>
        <fieldset class="kinds">
          <legend class="unseen">{record.kind}</legend>
          {recordKinds.map((kind) => (
            <label key={kind} class="kind">
              <input
                type="radio"
                name="kind"
                value={kind}
                checked={typed.kind === kind}
                onChange={() => {
                  problems.value = {};
                  changeDraft({ kind });
                }}
              />
              <span>{record.kinds[kind]}</span>
            </label>
          ))}
        </fieldset>
        <RecordFields state={live} draft={typed} problems={problems.value} />
        <div class="record-foot">
          <button type="submit" class="button button-chief" aria-disabled={sending.value}>
            {sending.value ? record.sending : record.send}
          </button>
          <div class="record-said" role="status">
            {refusal.value === null ? null : (
              <p class="record-refused">
                <strong>{refusal.value}</strong> {record.kept}
              </p>
            )}
            {saved.value.length === 0 || refusal.value !== null ? null : takenBack.value ? (
              <p>{record.takenBack}</p>
            ) : (
              <p>
                {record.saved(saved.value.map(inWords).join('; '))}{' '}
                <button type="button" class="link" onClick={takeBack}>
                  {record.takeBack}
                </button>
              </p>
            )}
          </div>
        </div>
      </form>
    </dialog>
  );
}

function inWords(event: BagEvent): string {
  const kind = event.kind === 'undone' ? '' : record.kinds[event.kind].toLowerCase();
  const bags = 'bags' in event && event.bags !== undefined ? ` ${writeBags(event.bags)}` : '';
  return `${event.batch}${bags} ${kind}`;
}

function focusFirstWrong(form: HTMLElement | null): void {
  // The problems are drawn first; the next frame has them.
  requestAnimationFrame(() => form?.querySelector<HTMLElement>('[aria-invalid="true"]')?.focus());
}
