import type { Finding } from '../../../shared/problems/explain.ts';
import { each, eachText } from './each.ts';

/** People who could not be reached, and messages that could not be sent as the file says. */
export function checkPeople(raw: unknown): Finding[] {
  return [
    ...unreachable(raw),
    ...twoDefaults(raw),
    ...each(raw, 'webhooks/*').flatMap(({ path, value }) => checkWebhook(raw, path, group(value))),
    ...each(raw, 'heartbeat').flatMap(({ path, value }) => checkHeartbeat(raw, path, group(value))),
    ...eachText(raw, 'digest/at').flatMap(({ path, value }) => midnight(path, value)),
  ];
}

type Group = Record<string, unknown>;
type Path = Finding['path'];

const group = (value: unknown): Group =>
  typeof value === 'object' && value !== null && !Array.isArray(value) ? (value as Group) : {};

/** People who are to be told but cannot be reached. */
function unreachable(raw: unknown): Finding[] {
  const places = ['notify/*', 'routes/*/steps/*/tell/*', 'digest/to/*'];
  const told = new Set(places.flatMap((place) => eachText(raw, place).map(({ value }) => value)));
  return each(raw, 'people/*').flatMap(({ path, value }): Finding[] => {
    const { id, channels, ...person } = group(value);
    if (typeof id !== 'string' || 'email' in person) return [];
    const byMail = !Array.isArray(channels) || channels.includes('email');
    if (!byMail || (!told.has(id) && channels === undefined)) return [];
    return [
      {
        path: [...path, 'email'],
        place: 'parent',
        found: `no email for ${id}, who is to be told by email`,
        wanted: 'a way to reach everybody who is to be told of alarms',
        mend: 'add email: to this person, name a webhook under channels, or take them out of notify and routes',
      },
    ];
  });
}

function twoDefaults(raw: unknown): Finding[] {
  const named = eachText(raw, 'routes/*/id').find(({ value }) => value === 'default');
  if (named === undefined || each(raw, 'notify/*').length === 0) return [];
  return [
    {
      path: named.path,
      place: 'value',
      found: 'a route named default beside notify',
      wanted: 'one way to say who is told when an alarm names no route',
      mend: 'take notify out, or give the route another id',
    },
  ];
}

function secretNames(path: Path, settings: Group): Finding[] {
  const both = 'secretEnv' in settings && 'secretFile' in settings;
  if (both !== ('secretEnv' in settings || 'secretFile' in settings))
    return typeof settings.secretEnv !== 'string' || /^[A-Za-z_][A-Za-z0-9_]*$/.test(settings.secretEnv)
      ? []
      : [
          {
            path: [...path, 'secretEnv'],
            place: 'value',
            found: 'secretEnv with text that is no variable name',
            wanted: 'the name of an environment variable, such as FARM_HOOK; never the secret itself',
            mend: 'put the secret in the environment and its name here',
          },
        ];
  return [
    {
      path: both ? [...path, 'secretFile'] : path,
      place: both ? 'key' : 'parent',
      found: both ? 'secretEnv and secretFile' : 'a webhook without a secret to sign with',
      wanted: 'one of secretEnv and secretFile',
      mend: both
        ? 'remove one'
        : 'put whsec_ and 32 random bytes in base64 into the environment, and name it',
    },
  ];
}

function checkWebhook(raw: unknown, path: Path, settings: Group): Finding[] {
  const reserved: Finding[] =
    settings.id === 'email'
      ? [
          {
            path: [...path, 'id'],
            place: 'value',
            found: 'a webhook named email',
            wanted: 'another id: under channels, email means a person’s email address',
            mend: 'give it another id',
          },
        ]
      : [];
  return [...reserved, ...secretNames(path, settings), ...address(raw, [...path, 'url'], settings.url)];
}

/** Plain http carries what a farm does past everybody on the way: only within a network that is named. */
function address(raw: unknown, path: Path, url: unknown): Finding[] {
  if (typeof url !== 'string' || !URL.canParse(url)) return [];
  const { protocol, hostname, username, password } = new URL(url);
  if (username !== '' || password !== '')
    return [
      {
        path,
        place: 'value',
        found: 'a user or password inside the address',
        wanted: 'no secret in this file',
        mend: 'take it out',
      },
    ];
  const host = hostname.replace(/^\[|\]$/g, '');
  const isNamed = eachText(raw, 'privateHosts/*').some(({ value }) => value.toLowerCase() === host);
  if (protocol !== 'http:' || isNamed) return [];
  return [
    {
      path,
      place: 'value',
      found: `http:// to ${host}`,
      wanted: 'https://, or a host of your own network that stands under privateHosts',
      mend: `write https://, or add ${host} under privateHosts`,
    },
  ];
}

function checkHeartbeat(raw: unknown, path: Path, settings: Group): Finding[] {
  const both = 'url' in settings && 'topic' in settings;
  const neither = !('url' in settings) && !('topic' in settings);
  if (both || neither)
    return [
      {
        path,
        place: 'parent',
        found: both ? 'a heartbeat with url and topic' : 'a heartbeat that goes nowhere',
        wanted: 'one of url: and topic:',
        mend: both ? 'remove one' : 'add one',
      },
    ];
  if (typeof settings.topic === 'string' && /[+#]|^\$/.test(settings.topic))
    return [
      {
        path: [...path, 'topic'],
        place: 'value',
        found: 'a topic that nobody may publish to',
        wanted: 'a topic without +, # and a leading $',
        mend: 'write it out in full',
      },
    ];
  return address(raw, [...path, 'url'], settings.url);
}

const midnight = (path: Path, at: string): Finding[] =>
  at !== '24:00'
    ? []
    : [
        {
          path,
          place: 'value',
          found: 'a digest at 24:00',
          wanted: 'a time of the day that it belongs to',
          mend: 'write "00:00" or an hour at which somebody reads it',
        },
      ];
