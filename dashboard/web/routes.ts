/** Which site a screen looks at; the word is also the one in the API's paths. */
export type SiteName = 'farm' | 'training';

export type Page =
  | { name: 'wall' }
  | { name: 'rooms' }
  | { name: 'batch'; id: string }
  | { name: 'alarms' }
  | { name: 'charts' }
  | { name: 'farm' }
  | { name: 'train' }
  | { name: 'acknowledge'; token: string }
  | { name: 'unknown' };

export interface Place {
  site: SiteName;
  page: Page;
}

const plainPages = new Map<string, Page>([
  ['', { name: 'wall' }],
  ['rooms', { name: 'rooms' }],
  ['alarms', { name: 'alarms' }],
  ['charts', { name: 'charts' }],
  ['farm', { name: 'farm' }],
]);

/** Reads a URL path. `/training/...` holds the same pages as `/...`, on the training run's site. */
export function placeOf(path: string): Place {
  const parts = path.split('/').filter((part) => part !== '');
  const site: SiteName = parts[0] === 'training' ? 'training' : 'farm';
  if (site === 'training') parts.shift();
  const [first = '', second] = parts;
  if (first === 'batches' && second !== undefined && parts.length === 2)
    return { site, page: { name: 'batch', id: decoded(second) } };
  if (first === 'acknowledge' && second !== undefined && site === 'farm' && parts.length === 2)
    return { site, page: { name: 'acknowledge', token: decoded(second) } };
  if (first === 'train' && site === 'farm' && parts.length === 1) return { site, page: { name: 'train' } };
  const page = parts.length <= 1 ? plainPages.get(first) : undefined;
  return { site, page: page ?? { name: 'unknown' } };
}

/** The path of a page; the inverse of `placeOf` for every page but `unknown`. */
export function pathOf({ site, page }: Place): string {
  if (page.name === 'train') return '/train';
  if (page.name === 'acknowledge') return `/acknowledge/${encodeURIComponent(page.token)}`;
  const base = site === 'training' ? '/training' : '';
  if (page.name === 'batch') return `${base}/batches/${encodeURIComponent(page.id)}`;
  if (page.name === 'wall' || page.name === 'unknown') return base === '' ? '/' : base;
  return `${base}/${page.name}`;
}

function decoded(part: string): string {
  try {
    return decodeURIComponent(part);
  } catch {
    return part;
  }
}
