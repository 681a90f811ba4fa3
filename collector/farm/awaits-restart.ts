import { isDeepStrictEqual } from 'node:util';
import type { FarmFile } from '../../shared/farm/schema.ts';

/** What is read once, at the start: doors and ports stay as they were opened. */
const readOnce: readonly [name: string, of: (file: FarmFile) => unknown][] = [
  ['screens', ({ screens }) => screens],
  ['site.address', ({ site }) => site.address],
  ['broker', ({ broker }) => broker],
  ['influx', ({ influx }) => influx],
  ['store', ({ store }) => store],
];

/** Which changes of a reloaded farm file wait for the next start, in words; null: none. */
export function awaitsRestart(started: FarmFile, now: FarmFile): string | null {
  const changed = readOnce.filter(([, of]) => !isDeepStrictEqual(of(started), of(now))).map(([name]) => name);
  if (changed.length === 0) return null;
  const names =
    changed.length === 1 ? changed[0] : `${changed.slice(0, -1).join(', ')} and ${changed.at(-1)}`;
  return `The farm file was reloaded, but what it now says of ${names} holds from the next start on: stop Shelfwarden and start it again.`;
}
