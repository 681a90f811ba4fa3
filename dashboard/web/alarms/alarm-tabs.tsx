import { link, place } from '../screen.ts';
import { alarms as text } from '../text/alarms.ts';

const tabs = ['alarms', 'journal', 'nuisance', 'limits'] as const;

/** The pages about alarms, side by side. */
export function AlarmTabs() {
  const here = place.value.page.name;
  return (
    <nav class="tabs" aria-label={text.tabsLabel}>
      {tabs.map((name) => (
        <a key={name} class="button" href={link({ name })} aria-current={here === name ? 'page' : undefined}>
          {text.tabs[name]}
        </a>
      ))}
    </nav>
  );
}
