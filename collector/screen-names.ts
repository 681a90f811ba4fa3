import { hostname, networkInterfaces } from 'node:os';
import type { Farm } from '../shared/farm/farm.ts';

/** Under which names and addresses this machine is asked from its network. */
const ownNames = (host: string): string[] => [
  host,
  hostname(),
  ...Object.values(networkInterfaces()).flatMap((list) =>
    (list ?? []).map(({ address, family }) => (family === 'IPv6' ? `[${address}]` : address)),
  ),
];

/**
 * The names in a request's Host header that the screens answer to besides those of loopback. Any other is a
 * page elsewhere that has pointed its own name here.
 */
export function screenNames({ file: { site, screens } }: Farm, host: string, onlyHere: boolean): string[] {
  return [
    ...(onlyHere ? [] : ownNames(host)),
    ...(site.address === undefined ? [] : [new URL(site.address).host]),
    ...screens.names,
  ];
}
