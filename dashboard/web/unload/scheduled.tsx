import type { LiveState } from '../../../shared/live.ts';
import type { UnloadView } from '../../../shared/unloads.ts';
import { isOperator } from '../doors/entry.ts';
import { momentNear, spanOf } from '../format/time.ts';
import { link, site } from '../screen.ts';
import { unload as text } from '../text/unload.ts';
import { useTelling } from './act.ts';
import { loadWords, roomName } from './names.ts';
import { SureButton } from './sure-button.tsx';

/** An unload that is to come: when, and that it has begun or will not. */
export function Scheduled({ live, view }: { live: LiveState; view: UnloadView }) {
  const { busy, refusal, tell } = useTelling();
  const now = site.value.now.value;
  const zone = live.farm.site.timeZone;
  const { id: unload, room, load, options, at } = view;
  const heading = `scheduled-${unload}`;
  return (
    <section class="card scheduled" aria-labelledby={heading}>
      <h2 id={heading}>
        <a href={link({ name: 'one-unload', id: unload })}>
          {text.plannedFor(momentNear(at, now, zone), roomName(room, live.farm))}
        </a>
      </h2>
      <p class="quiet">
        {loadWords(load, live.farm)}, {at > now ? text.plannedIn(spanOf(at - now)) : text.plannedDue},{' '}
        {view.who}
      </p>
      {isOperator.value ? (
        <div class="acts">
          <button
            type="button"
            class="button button-chief"
            aria-disabled={busy.value}
            onClick={() => void tell({ unload, kind: 'begun', room, load, options })}
          >
            {load.count === 1 ? text.declareOne : text.declare}
          </button>
          <SureButton
            words={text.callOff}
            sure={text.callOffSure}
            busy={busy.value}
            onSure={() => void tell({ unload, kind: 'withdrawn' })}
          />
          <p class="acts-said" role="status">
            {refusal.value === null ? null : <strong>{text.refused(refusal.value)}</strong>}
          </p>
        </div>
      ) : null}
    </section>
  );
}
