import '../styles/farm.css';
import type { PartHealth } from '../../../shared/live.ts';
import { spanOf } from '../format/time.ts';
import { link, site } from '../screen.ts';
import { common } from '../text/common.ts';
import { farm as text } from '../text/farm.ts';
import { Found } from './found.tsx';
import { PeopleTold } from './people-told.tsx';
import { ScreenSettingsCard } from './screen-settings.tsx';
import { Sensors } from './sensors.tsx';

/** Whether everything works, what is heard and what is not, and how this screen is set. */
export function FarmPage() {
  const live = site.value.state.value!;
  const now = site.value.now.value;
  return (
    <div class="farm">
      <div class="page-head">
        <h1>{text.title}</h1>
        <a class="button" href={link({ name: 'doors' })}>
          {common.pageName.doors}
        </a>
      </div>
      <div class="farm-grid">
        <section class="card" aria-labelledby="parts">
          <h2 id="parts">{text.parts}</h2>
          <ul class="parts">
            {live.parts.map((part) => (
              <Part key={part.part} part={part} now={now} />
            ))}
          </ul>
          {live.notices.length === 0 ? null : (
            <>
              <h2>{text.notices}</h2>
              <ul class="notices">
                {live.notices.map(({ id, text: words, since }) => (
                  <li key={id}>
                    {words} <span class="quiet">{text.since(spanOf(now - since))}</span>
                  </li>
                ))}
              </ul>
            </>
          )}
        </section>
        <ScreenSettingsCard />
        <Sensors live={live} now={now} />
        <PeopleTold zone={live.farm.site.timeZone} now={now} />
        <Found zone={live.farm.site.timeZone} now={now} />
        <section class="card farm-wide" aria-labelledby="safety">
          <h2 id="safety">{text.safetyTitle}</h2>
          <p>{text.safety}</p>
          <p class="farm-links">
            {text.machine}:
            {text.links.map(([path, words]) => (
              <a key={path} href={path} target="_blank" rel="noreferrer">
                {words}
              </a>
            ))}
          </p>
        </section>
      </div>
    </div>
  );
}

function Part({ part, now }: { part: PartHealth; now: number }) {
  return (
    <li class={`part part-${part.state}`}>
      <svg viewBox="0 0 24 24" aria-hidden="true">
        {partShapes[part.state]}
      </svg>
      <strong>{part.part}</strong>
      <span class="part-state">{text.part[part.state]}</span>
      <span class="part-text">{part.text}</span>
      <span class="quiet part-since">{text.since(spanOf(now - part.since))}</span>
    </li>
  );
}

/** Working is a quiet ring, waiting a half-filled one, failed a filled triangle. */
const partShapes: Record<PartHealth['state'], preact.JSX.Element> = {
  ok: <circle class="part-ring" cx="12" cy="12" r="8" />,
  waiting: (
    <>
      <circle class="part-ring" cx="12" cy="12" r="8" />
      <path class="part-fill" d="M12 4 A8 8 0 0 1 12 20 Z" />
    </>
  ),
  failed: <path class="part-fill" d="M12 3 L22 21 H2 Z" />,
};
