import '../styles/doors.css';
import { useSignal } from '@preact/signals';
import type { AcknowledgeLinkView } from '../../../shared/alarms.ts';
import { ask } from '../api.ts';
import { inScreenUnit } from '../format/value.ts';
import { useAnswer } from '../parts/use-answer.ts';
import { link } from '../screen.ts';
import { settings } from '../settings.ts';
import { acknowledge as text } from '../text/acknowledge.ts';
import { common } from '../text/common.ts';

/**
 * What a link of a message opens. Mail scanners open links too, so opening it only shows the alarm; a tap
 * acknowledges.
 */
export function AcknowledgePage({ token }: { token: string }) {
  const path = `/api/acknowledge/${encodeURIComponent(token)}`;
  const asked = useAnswer<AcknowledgeLinkView>(path);
  const sending = useSignal(false);
  const done = useSignal(false);
  const refused = useSignal<string | null>(null);
  const send = async () => {
    sending.value = true;
    refused.value = null;
    const answer = await ask<AcknowledgeLinkView>(path, {});
    sending.value = false;
    if (answer.ok) done.value = true;
    else refused.value = answer.problem.text;
  };
  const view = asked.value;
  const said = done.value ? text.done : (refused.value ?? view?.why ?? null);
  return (
    <main class="door" id="content">
      <p class="door-product">{common.product}</p>
      <h1>{inScreenUnit(view?.title ?? text.title, settings.value.temperature)}</h1>
      {asked.failed === null ? null : <p role="alert">{common.failed(asked.failed)}</p>}
      {view?.who == null ? null : <p>{text.for(view.who)}</p>}
      {view?.usable && !done.value ? (
        <>
          <p>{text.meaning}</p>
          <button
            type="button"
            class="button button-chief"
            disabled={sending.value}
            onClick={() => void send()}
          >
            {sending.value ? text.sending : text.button}
          </button>
        </>
      ) : null}
      <p role="status">{said}</p>
      <a class="door-link" href={link({ name: 'alarms' })}>
        {text.toAlarms}
      </a>
    </main>
  );
}
