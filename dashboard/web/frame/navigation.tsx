import { shownAlarms } from '../climate.ts';
import type { Page } from '../routes.ts';
import { link, place, site } from '../screen.ts';
import { common } from '../text/common.ts';

type Entry = readonly [
  name: 'wall' | 'rooms' | 'unload' | 'alarms' | 'charts' | 'farm' | 'train',
  icon: string,
];

const entries: readonly Entry[] = [
  ['wall', 'M3 5 H21 V16 H3 Z M9 20 H15'],
  ['rooms', 'M4 3 V21 M20 3 V21 M4 9 H20 M4 15 H20 M4 21 H20'],
  [
    'unload',
    'M3 12 H15 V20 H3 Z M6 9 Q4.5 7.5 6 6 Q7.5 4.5 6 3 M12 9 Q10.5 7.5 12 6 Q13.5 4.5 12 3 M17 16 H21 M18.5 13.5 L21 16 L18.5 18.5',
  ],
  ['alarms', 'M12 3 L21.5 20 H2.5 Z M12 10 V14 M12 16.9 V17.1'],
  ['charts', 'M3 21 H21 M4 16 L9 9 L14 13 L20 5'],
  ['farm', 'M3 11 L12 4 L21 11 M6 9.5 V20 H18 V9.5 M10 20 V14 H14 V20'],
  ['train', 'M3 9 L12 5 L21 9 L12 13 Z M7 11.5 V16 Q12 19 17 16 V11.5'],
];

/** The quiet way between screens: along the top, or along the bottom of a phone where the thumb is. */
export function Navigation() {
  const here = place.value.page.name;
  const ringing = shownAlarms(site.value.state.value?.alarms ?? []).filter((alarm) => alarm.ringing).length;
  return (
    <nav class="navigation" aria-label={common.nav.label}>
      <ul>
        {entries.map(([name, icon]) => (
          <li key={name}>
            <a href={link({ name })} aria-current={isHere(name, here) ? 'page' : undefined}>
              <svg viewBox="0 0 24 24" aria-hidden="true">
                <path d={icon} />
              </svg>
              {common.nav[name]}
              {name === 'alarms' && ringing > 0 ? (
                <span class="navigation-count">
                  {ringing}
                  <span class="unseen"> {common.nav.ringing}</span>
                </span>
              ) : null}
            </a>
          </li>
        ))}
      </ul>
    </nav>
  );
}

/** Pages that are reached from another light that one up: a batch stands on a shelf of its room. */
const parentOf: Partial<Record<Page['name'], Page['name']>> = {
  batch: 'rooms',
  room: 'rooms',
  'one-unload': 'unload',
  alarm: 'alarms',
  journal: 'alarms',
  nuisance: 'alarms',
  limits: 'alarms',
  doors: 'farm',
  'door-journal': 'farm',
};
const isHere = (name: Page['name'], here: Page['name']): boolean => name === here || parentOf[here] === name;
