/** Which site a screen looks at; the word is also the one in the API's paths. */
export type SiteName = 'farm' | 'training';

export type Page =
  | { name: 'wall' }
  | { name: 'rooms' }
  | { name: 'room'; id: string }
  | { name: 'unload' }
  | { name: 'one-unload'; id: string }
  | { name: 'batch'; id: string }
  | { name: 'strain'; id: string }
  | { name: 'alarms' }
  | { name: 'alarm'; id: string }
  | { name: 'journal' }
  | { name: 'nuisance' }
  | { name: 'limits' }
  | { name: 'charts' }
  | { name: 'farm' }
  | { name: 'train' }
  | { name: 'acknowledge'; token: string }
  | { name: 'doors' }
  | { name: 'door-journal' }
  | { name: 'join' }
  | { name: 'pair' }
  | { name: 'unknown' };

export interface Place {
  site: SiteName;
  page: Page;
}

const plainPages = new Map<string, Page>([
  ['', { name: 'wall' }],
  ['rooms', { name: 'rooms' }],
  ['unload', { name: 'unload' }],
  ['alarms', { name: 'alarms' }],
  ['charts', { name: 'charts' }],
  ['farm', { name: 'farm' }],
]);

/** Pages of one thing, named by its id. */
const namedPages = new Map([
  ['rooms', 'room'],
  ['unloads', 'one-unload'],
  ['batches', 'batch'],
  ['strains', 'strain'],
] as const) as ReadonlyMap<string, 'room' | 'one-unload' | 'batch' | 'strain'>;

const alarmPages = new Map<string, Page>([
  ['journal', { name: 'journal' }],
  ['how-often', { name: 'nuisance' }],
  ['limits', { name: 'limits' }],
]);

/** Pages that are not of one site: they hold for the whole machine. */
const ownPages = new Map<string, Page>([
  ['train', { name: 'train' }],
  ['doors', { name: 'doors' }],
  ['doors/journal', { name: 'door-journal' }],
  ['join', { name: 'join' }],
  ['pair', { name: 'pair' }],
]);
const ownPaths = new Map([...ownPages].map(([path, { name }]) => [name, `/${path}`]));

/** Reads a URL path and its query. `/training/...` holds the same pages as `/...`, on the training run's site. */
export function placeOf(path: string, search = ''): Place {
  const parts = path.split('/').filter((part) => part !== '');
  const site: SiteName = parts[0] === 'training' ? 'training' : 'farm';
  if (site === 'training') parts.shift();
  const [first = '', second] = parts;
  const named = namedPages.get(first);
  if (named !== undefined && second !== undefined && parts.length === 2)
    return { site, page: { name: named, id: decoded(second) } };
  if (first === 'acknowledge' && second !== undefined && site === 'farm' && parts.length === 2)
    return { site, page: { name: 'acknowledge', token: decoded(second) } };
  if (first === 'alarms' && parts.length === 2) {
    // An alarm's id may end like a file, so it stands in the query.
    const id = second === 'one' ? new URLSearchParams(search).get('id') : null;
    return { site, page: (id ? { name: 'alarm', id } : alarmPages.get(second!)) ?? { name: 'unknown' } };
  }
  const own = site === 'farm' ? ownPages.get(parts.join('/')) : undefined;
  if (own !== undefined) return { site, page: own };
  const page = parts.length <= 1 ? plainPages.get(first) : undefined;
  return { site, page: page ?? { name: 'unknown' } };
}

/** The path of a page; the inverse of `placeOf` for every page but `unknown`. */
export function pathOf({ site, page }: Place): string {
  const own = ownPaths.get(page.name);
  if (own !== undefined) return own;
  if (page.name === 'acknowledge') return `/acknowledge/${encodeURIComponent(page.token)}`;
  const base = site === 'training' ? '/training' : '';
  for (const [part, name] of namedPages)
    if (page.name === name) return `${base}/${part}/${encodeURIComponent(page.id)}`;
  if (page.name === 'alarm') return `${base}/alarms/one?id=${encodeURIComponent(page.id)}`;
  for (const [part, { name }] of alarmPages) if (name === page.name) return `${base}/alarms/${part}`;
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
