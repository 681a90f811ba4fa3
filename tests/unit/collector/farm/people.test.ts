import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { loadFarmFile } from '../../../../collector/farm/load.ts';
import { problemsText } from '../../../../collector/farm/problems.ts';
import { oyster } from './oyster.ts';

const small = readFileSync(new URL('../../../fixtures/farms/small.yaml', import.meta.url), 'utf8');
const whole = `${small.replace(/\npeople:[\s\S]*?notify: \[ada\]\n/, '\n')}
people:
  - id: ada
    name: Ada
    email: ada@fernhollow.example
    channels: [email, relay]
    onCall: [{ days: [mon, tue, wed, thu, fri], from: "06:00", to: "18:00" }]
    quiet: [{ from: "21:00", to: "06:00" }]
  - { id: bo, name: Bo, channels: [relay] }
webhooks:
  - { id: relay, url: "http://relay.lan/in", secretEnv: RELAY_SECRET }
privateHosts: [relay.lan]
routes:
  - id: default
    steps: [{ tell: [ada], waitMin: 10 }, { tell: [bo] }]
announce: { topic: farm/alarms }
digest: { at: "06:30", to: [ada] }
heartbeat: { url: "https://watch.example/ping", everyMin: 5 }
`;
const problemsOf = (text: string): string => {
  const load = loadFarmFile(text, 'farm.yaml', [oyster]);
  return load.ok ? '' : problemsText(load.problems);
};
const edited = (from: string, to: string): string => {
  expect(whole).toContain(from);
  return whole.replace(from, to);
};

test('people, routes and what leaves the house are read', () => {
  const load = loadFarmFile(whole, 'farm.yaml', [oyster]);
  if (!load.ok) throw new Error(problemsText(load.problems));
  const { routes, people, announce } = load.farm.file;
  expect(routes[0]!.steps).toEqual([{ tell: ['ada'], waitMin: 10 }, { tell: ['bo'] }]);
  expect(people[1]).toEqual({ id: 'bo', name: 'Bo', channels: ['relay'] });
  expect(announce).toEqual({ topic: 'farm/alarms' });
});

describe('what could not work is refused with what to do', () => {
  test.each([
    ['channels: [email, relay]', 'channels: [email, rely]', /"rely", which is no webhook.*write relay/],
    ['tell: [bo]', 'tell: [bob]', /"bob", which is no person/],
    ['to: [ada]', 'to: [ad]', /"ad", which is no person/],
    ['channels: [relay] }', 'channels: [email] }', /no email for bo/],
    ['id: default', 'id: default\n    x: 1', /x/],
    ['privateHosts: [relay.lan]', 'privateHosts: [other.lan]', /http:\/\/ to relay.lan.*privateHosts/],
    [', secretEnv: RELAY_SECRET', '', /without a secret to sign with/],
    ['secretEnv: RELAY_SECRET', 'secretEnv: whsec_abc/+==', /no variable name/],
    ['id: relay, url', 'id: email, url', /a webhook named email/],
    ['url: "https://watch.example/ping"', 'url: "https://u:p@watch.example/"', /user or password inside/],
    ['url: "https://watch.example/ping"', 'topic: "a/#"', /nobody may publish/],
    ['url: "https://watch.example/ping", ', '', /goes nowhere/],
    ['at: "06:30"', 'at: "24:00"', /digest at 24:00/],
    ['routes:', 'notify: [ada]\nroutes:', /default beside notify/],
    ['farm/alarms', 'farm/#', /without \+ and #/],
    ['high: 28, deadband', 'high: 28, route: nobody, deadband', /"nobody", which is no route/],
  ])('%s -> %s', (from, to, problem) => {
    expect(problemsOf(edited(from, to))).toMatch(problem);
  });

  test('no secret is repeated', () => {
    expect(problemsOf(edited('secretEnv: RELAY_SECRET', 'secretEnv: whsec_abc/+=='))).not.toContain(
      'whsec_abc',
    );
  });
});
