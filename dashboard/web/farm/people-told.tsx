import { useSignal } from '@preact/signals';
import type { PersonView } from '../../../shared/alarms.ts';
import type { DeliveryStep } from '../../../shared/ports.ts';
import { ask } from '../api.ts';
import { entry, isOperator, whoHere } from '../doors/entry.ts';
import { momentNear } from '../format/time.ts';
import { NotRead } from '../parts/not-read.tsx';
import { useAnswer } from '../parts/use-answer.ts';
import { site } from '../screen.ts';
import { farm as text } from '../text/farm.ts';

/** Who is told of alarms and by which ways, with a trial of each that shows what happened, step by step. */
export function PeopleTold({ zone, now }: { zone: string; now: number }) {
  const asked = useAnswer<PersonView[]>(`${site.value.base}/people`);
  const people = asked.value ?? [];
  return (
    <section class="card farm-wide" aria-labelledby="told">
      <h2 id="told">{text.told}</h2>
      <NotRead asked={asked} />
      {asked.value !== null && people.length === 0 ? <p class="quiet">{text.toldNone}</p> : null}
      <ul class="told">
        {people.map(({ id, name, channels, onCall, quietUntil }) => (
          <li key={id} class="told-person">
            <strong>{name}</strong>
            <span class="quiet">
              {onCall ? text.onCall : text.offCall}
              {quietUntil === null ? null : `, ${text.quietUntil(momentNear(quietUntil, now, zone))}`}
            </span>
            {channels.map(({ channel, usable }) => (
              <Way key={channel} {...{ person: id, name, channel, usable }} />
            ))}
          </li>
        ))}
      </ul>
    </section>
  );
}

interface WayProps {
  person: string;
  name: string;
  channel: string;
  usable: boolean;
}

function Way({ person, name, channel, usable }: WayProps) {
  const steps = useSignal<DeliveryStep[] | null>(null);
  const trying = useSignal(false);
  const refused = entry.value !== null && !isOperator.value;
  const attempt = async () => {
    trying.value = true;
    const answer = await ask<DeliveryStep[]>(`${site.value.base}/people/try`, {
      ...{ person, channel },
      who: whoHere(),
    });
    trying.value = false;
    steps.value = answer.ok ? answer.value : [{ step: 'failed', ok: false, text: answer.problem.text }];
  };
  return (
    <div class="way">
      <span class="way-name">{usable ? channel : text.unusable(channel)}</span>
      <button
        type="button"
        class="button"
        disabled={trying.value || refused}
        aria-label={text.tryFor(channel, name)}
        onClick={() => void attempt()}
      >
        {trying.value ? text.trying : text.try}
      </button>
      {refused ? <span class="quiet">{text.operatorsTry}</span> : null}
      <ol class="way-steps" aria-live="polite">
        {steps.value?.map(({ step, ok, text: words }) => (
          <li key={step} class={ok ? 'way-step' : 'way-step way-failed'}>
            <strong>{text.steps[step] ?? step}</strong> {words}
          </li>
        ))}
      </ol>
    </div>
  );
}
