import type { LiveState } from '../../../shared/live.ts';
import type { UnloadView } from '../../../shared/unloads.ts';
import { isOperator } from '../doors/entry.ts';
import { momentNear, spanOf } from '../format/time.ts';
import { link, site } from '../screen.ts';
import { unload as text } from '../text/unload.ts';
import { useTelling } from './act.ts';
import { Acts, SureAct } from './acts.tsx';
import { loadWords, roomName } from './names.ts';

/** An unload that is to come: when, and that it has begun or will not. */
export function Scheduled({ live, view }: { live: LiveState; view: UnloadView }) {
  const telling = useTelling();
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
        <Acts telling={telling}>
          <button
            type="button"
            class="button button-chief"
            aria-disabled={telling.busy.value}
            onClick={() => void telling.tell({ unload, kind: 'begun', room, load, options })}
          >
            {load.count === 1 ? text.declareOne : text.declare}
          </button>
          <SureAct
            telling={telling}
            words={text.callOff}
            sure={text.callOffSure}
            doing={{ unload, kind: 'withdrawn' }}
          />
        </Acts>
      ) : null}
    </section>
  );
}
