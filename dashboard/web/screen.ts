import { signal } from '@preact/signals';
import { browserClock } from './browser-clock.ts';
import { createSite, type Site } from './live/site.ts';
import { type Place, pathOf, placeOf } from './routes.ts';

/** Where this screen is. */
export const place = signal<Place>(placeOf(location.pathname, location.search));

export const openSite = (name: Place['site']): Site =>
  createSite({ name, clock: browserClock, open: (url) => new EventSource(url) });

/** The site that is looked at; one stream at a time. */
export const site = signal<Site>(openSite(place.peek().site));

export function goTo(path: string): void {
  history.pushState(null, '', path);
  arrive();
  if (!path.includes('#')) scrollTo(0, 0);
}

export const link = (page: Place['page']): string => pathOf({ site: place.value.site, page });

function arrive(): void {
  const next = placeOf(location.pathname, location.search);
  if (next.site !== site.peek().name) {
    site.peek().leave();
    site.value = openSite(next.site);
    site.peek().follow();
  }
  place.value = next;
}

/** Lets plain links move within the application, and starts following the site. */
export function startScreen(): void {
  addEventListener('popstate', arrive);
  document.addEventListener('click', (event) => {
    if (event.defaultPrevented || event.button !== 0 || event.metaKey || event.ctrlKey || event.shiftKey)
      return;
    const anchor = event.target instanceof Element ? event.target.closest('a[href]') : null;
    if (anchor === null || anchor.hasAttribute('download') || anchor.hasAttribute('target')) return;
    const to = new URL(anchor.getAttribute('href') ?? '', location.href);
    if (to.origin !== location.origin || to.pathname.startsWith('/api/')) return;
    if (to.hash !== '' && to.pathname === location.pathname) return;
    event.preventDefault();
    goTo(to.pathname + to.search + to.hash);
  });
  site.peek().follow();
}
