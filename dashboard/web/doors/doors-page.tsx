import '../styles/doors.css';
import { link } from '../screen.ts';
import { doors as text } from '../text/doors.ts';
import { Devices } from './devices.tsx';
import { entry, isAdmin, isOperator } from './entry.ts';
import { Keys } from './keys.tsx';
import { Me } from './me.tsx';
import { People } from './people.tsx';
import { Walls } from './walls.tsx';

/** Who may enter, by which door; each sees what they may change. */
export function DoorsPage() {
  const me = entry.value?.me;
  return (
    <div class="doors">
      <div class="page-head">
        <h1>{text.title}</h1>
        {isAdmin.value ? (
          <a class="button" href={link({ name: 'door-journal' })}>
            {text.toJournal}
          </a>
        ) : null}
      </div>
      <div class="doors-grid">
        {me?.kind === 'demo' || me?.kind === 'wall' ? (
          <section class="card">
            <p>{me.kind === 'demo' ? text.demoText : text.wallText(me.name)}</p>
          </section>
        ) : (
          <Me />
        )}
        {isAdmin.value ? <People /> : null}
        {isOperator.value ? <Walls /> : null}
        {isAdmin.value ? <Devices /> : null}
        {isAdmin.value ? <Keys /> : null}
      </div>
    </div>
  );
}
