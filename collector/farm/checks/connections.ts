import type { Finding } from '../../../shared/problems/explain.ts';
import { nearest } from '../../../shared/problems/nearest.ts';
import { each, eachText } from './each.ts';

const parts = ['broker', 'mail', 'influx'] as const;

/** Time zone, addresses, and how secrets are named. Never repeats a secret. */
export function checkConnections(raw: unknown): Finding[] {
  return [
    ...eachText(raw, 'site/timeZone').flatMap(({ path, value }) => timeZone(path, value)),
    ...parts.flatMap((part) => each(raw, part).flatMap(({ value }) => secrets(part, value))),
    ...certificates(raw),
    ...eachText(raw, 'broker/url').flatMap(({ value }) => address('broker', value)),
    ...eachText(raw, 'influx/url').flatMap(({ value }) => address('influx', value)),
    ...influxTarget(raw),
  ];
}

function timeZone(path: Finding['path'], zone: string): Finding[] {
  try {
    if (!/^[+-]/.test(zone) && new Intl.DateTimeFormat('en', { timeZone: zone })) return [];
  } catch {
    // Not known: told below.
  }
  const meant = nearest(zone, Intl.supportedValuesOf('timeZone')) ?? nearest(zone, cities().keys());
  const mend = `write ${meant === undefined ? 'the region and city, such as Europe/Berlin' : (cities().get(meant) ?? meant)}`;
  return [
    {
      path,
      place: 'value',
      found: JSON.stringify(zone.slice(0, 60)),
      wanted: 'a time zone of the IANA list, such as America/Chicago',
      mend,
    },
  ];
}

/** `Chicago` -> `America/Chicago`, since a city alone is what people write. */
const cities = (): Map<string, string> =>
  new Map(Intl.supportedValuesOf('timeZone').map((zone) => [zone.split('/').at(-1)!, zone]));

const group = (value: unknown): Record<string, unknown> =>
  typeof value === 'object' && value !== null && !Array.isArray(value)
    ? (value as Record<string, unknown>)
    : {};

function secrets(part: string, value: unknown): Finding[] {
  const settings = group(value);
  const findings: Finding[] = [];
  for (const key of ['userEnv', 'passwordEnv', 'tokenEnv'])
    if (typeof settings[key] === 'string' && !/^[A-Za-z_][A-Za-z0-9_]*$/.test(settings[key]))
      findings.push({
        path: [part, key],
        place: 'value',
        found: `${key} with text that is no variable name`,
        wanted: 'the name of an environment variable, such as FARM_SECRET; never the secret itself',
        mend: 'put the secret in the environment and its name here',
      });
  if ('passwordEnv' in settings && 'passwordFile' in settings)
    findings.push({
      path: [part, 'passwordFile'],
      place: 'key',
      found: 'passwordEnv and passwordFile',
      wanted: 'one of the two',
      mend: 'remove one',
    });
  return findings;
}

function certificates(raw: unknown): Finding[] {
  const [broker] = each(raw, 'broker').map(({ value }) => group(value));
  if (broker === undefined) return [];
  const findings: Finding[] = [];
  const given = ['caFile', 'certFile', 'keyFile'].filter((key) => key in broker);
  if ('certFile' in broker !== 'keyFile' in broker)
    findings.push({
      path: ['broker', 'certFile' in broker ? 'certFile' : 'keyFile'],
      place: 'key',
      found: 'certFile' in broker ? 'certFile without keyFile' : 'keyFile without certFile',
      wanted: 'both or neither',
      mend: 'add the other file of the client certificate',
    });
  if (given.length > 0 && typeof broker.url === 'string' && broker.url.startsWith('mqtt://'))
    findings.push({
      path: ['broker', 'url'],
      place: 'value',
      found: `mqtt:// with ${given.join(', ')}`,
      wanted: 'mqtts:// where certificates are used',
      mend: `write mqtts://, usually port 8883, or remove ${given.join(', ')}`,
    });
  return findings;
}

function address(part: string, text: string): Finding[] {
  if (!URL.canParse(text)) return [];
  const { username, password } = new URL(text);
  if (username === '' && password === '') return [];
  const mend =
    part === 'influx'
      ? 'take it out and name a variable in tokenEnv:'
      : 'take it out and use userEnv: and passwordEnv:';
  return [
    {
      path: [part, 'url'],
      place: 'value',
      found: 'a user or password inside the address',
      wanted: 'no secret in this file',
      mend,
    },
  ];
}

function influxTarget(raw: unknown): Finding[] {
  const [influx] = each(raw, 'influx').map(({ value }) => group(value));
  if (influx === undefined || 'database' in influx !== ('org' in influx && 'bucket' in influx)) return [];
  const both = 'database' in influx;
  return [
    {
      path: ['influx', both ? 'database' : 'bucket'],
      place: both ? 'key' : 'parent',
      found: both ? 'database with org and bucket' : 'no place to write to',
      wanted: 'database: for InfluxDB 1.x, or org: and bucket: for 2.x',
      mend: both ? 'keep one of the two forms' : 'add the one that your server has',
    },
  ];
}
