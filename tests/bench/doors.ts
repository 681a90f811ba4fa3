import { writeFileSync } from 'node:fs';
import { request } from 'node:http';
import { join } from 'node:path';
import { uniformInt } from 'pure-rand/distribution/uniformInt';
import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus';
import { meanOf } from '../../shared/stats/mean.ts';
import buildOnce from '../tools/built.ts';
import { openChromium } from '../tools/chromium.ts';
import { startCollector } from '../tools/collector.ts';
import { enter } from '../tools/enter.ts';
import { openFolder } from '../tools/open-folder.ts';
import type { Figure } from './figure.ts';
import { openContender, quantile, timeReadings } from './painted.ts';

const seed = 20_261_129;
const rounds = 3;
const readingsPerRound = 100;
const atOnce = 50;
const goalMs = 250;
const pause = { least: 120, most: 320 };
/** Of known and of unknown names each. */
const tries = 200;
/** Standard errors by which two equal means differ once in 370 runs. */
const mostErrors = 3;

// YAML takes JSON as it is.
const farm = {
  site: { id: 'bench', name: 'Bench', timeZone: 'UTC' },
  rooms: [{ id: 'warm', name: 'Warm room', limits: { temperature: { low: 18, high: 30 } } }],
  sensors: [
    {
      ...{ id: 'air', topic: 'lab/air', decoder: 'json', timePointer: '/at', at: 'warm' },
      channels: [
        { quantity: 'temperature', pointer: '/air/temperature', unit: 'degC' },
        { quantity: 'humidity', pointer: '/air/humidity', unit: '%' },
      ],
    },
  ],
  broker: { embedded: { port: 0 } },
};

/** A try to sign in from a device of its own: each number is another address of the loopback network. */
const signIn = (url: string, device: number, name: string, password: string): Promise<number> =>
  new Promise((resolve, reject) => {
    const body = JSON.stringify({ name, password });
    const sent = request(
      `${url}/api/doors/sign-in`,
      {
        method: 'POST',
        localAddress: `127.${1 + (device >> 16)}.${(device >> 8) & 255}.${device & 255}`,
        agent: false,
        headers: { 'content-type': 'application/json', 'content-length': Buffer.byteLength(body) },
      },
      (answer) => {
        answer.resume();
        answer.on('end', () => resolve(answer.statusCode!));
      },
    );
    sent.on('error', reject);
    sent.end(body);
  });

/** Fifty people sign in at once, again and again, until told that it is enough. */
function crowd(url: string, name: string, password: string) {
  let enough = false;
  let device = 0;
  const answers: number[] = [];
  const done = (async () => {
    while (!enough) {
      const burst = Array.from({ length: atOnce }, (_, at) => signIn(url, device + at, name, password));
      device += atOnce;
      answers.push(...(await Promise.all(burst)));
    }
  })();
  return async (): Promise<number[]> => {
    enough = true;
    await done;
    return answers;
  };
}

/** Standard error of a mean, squared. */
const errorOf = (values: readonly number[]): number => {
  const middle = meanOf(values);
  return values.reduce((sum, one) => sum + (one - middle) ** 2, 0) / (values.length - 1) / values.length;
};

/** Wrong passwords for a name that is known and for one that is not, in turn, each from a device of its own. */
async function timeNames(url: string, known: string): Promise<{ known: number[]; unknown: number[] }> {
  const times = { known: [] as number[], unknown: [] as number[] };
  // The first ones pay for compiling.
  for (let round = -10; round < tries; round++)
    for (const kind of round % 2 === 0 ? (['known', 'unknown'] as const) : (['unknown', 'known'] as const)) {
      const device = 100_000 + 2 * (round + 10) + (kind === 'known' ? 0 : 1);
      const from = performance.now();
      await signIn(url, device, kind === 'known' ? known : 'Nobody', 'not the right words');
      if (round >= 0) times[kind].push(performance.now() - from);
    }
  return times;
}

/**
 * Sign-ins of fifty people at once while readings arrive, against readings without them in turn; and how long
 * a wrong password takes for a name that is known and one that is not.
 */
export async function run(): Promise<Figure[]> {
  buildOnce();
  const random = xoroshiro128plus(seed);
  using folder = openFolder('doors');
  const farmPath = join(folder.path, 'farm.yaml');
  writeFileSync(farmPath, JSON.stringify(farm));
  const words = ['--farm', farmPath, '--data', join(folder.path, 'data'), '--port', '0'];
  await using collector = await startCollector(words);
  const insider = await enter(collector.url);
  const browser = await openChromium();
  const wall = await openContender(browser, {
    url: collector.url,
    brokerUrl: collector.brokerUrl,
    topic: 'lab/air',
    selector: '.room:has(#room-warm) .room-temperature .value-number',
    device: await insider.device('air', 'lab'),
    cookie: insider.headers.cookie,
  });
  const pauseMs = () => uniformInt(random, pause.least, pause.most);
  await timeReadings(wall, 20, pauseMs);
  const times = { quiet: [] as number[], crowded: [] as number[] };
  const answers: number[] = [];
  for (let round = 0; round < rounds; round++) {
    times.quiet.push(...(await timeReadings(wall, readingsPerRound, pauseMs)));
    const stop = crowd(collector.url, insider.name, insider.password);
    times.crowded.push(...(await timeReadings(wall, readingsPerRound, pauseMs)));
    answers.push(...(await stop()));
  }
  await wall.close();
  await browser.close();
  const names = await timeNames(collector.url, insider.name);
  await collector.end();

  for (const list of Object.values(times)) list.sort((one, other) => one - other);
  const line = (share: number, goal: number | null): Figure => {
    const [value, baseline] = [quantile(times.crowded, share), quantile(times.quiet, share)];
    return {
      name: `reading to wall while ${atOnce} sign in at once, p${share * 100}; beside: while nobody does`,
      unit: 'ms',
      ...{ value, baseline, ratio: value / baseline },
      goal: goal === null ? null : `<= ${goal} ms`,
      holds: goal === null ? null : value <= goal,
    };
  };
  const apart = meanOf(names.known) - meanOf(names.unknown);
  const errors = Math.abs(apart) / Math.sqrt(errorOf(names.known) + errorOf(names.unknown));
  const letIn = answers.filter((status) => status < 300).length;
  return [
    line(0.5, null),
    line(0.99, goalMs),
    line(1, null),
    {
      ...{ name: 'readings painted meanwhile', value: times.crowded.length, unit: 'readings' },
      ...{ baseline: null, ratio: null, goal: String(rounds * readingsPerRound) },
      holds: times.crowded.length === rounds * readingsPerRound,
    },
    {
      ...{ name: 'sign-ins meanwhile, let in of all', value: letIn, unit: 'sign-ins' },
      ...{
        baseline: answers.length,
        ratio: letIn / answers.length,
        goal: 'all',
        holds: letIn === answers.length,
      },
    },
    {
      ...{ name: `wrong password, known name beside unknown, mean of ${tries}`, unit: 'ms' },
      ...{
        value: meanOf(names.known),
        baseline: meanOf(names.unknown),
        ratio: meanOf(names.known) / meanOf(names.unknown),
      },
      ...{ goal: null, holds: null },
    },
    {
      ...{ name: 'their difference', value: errors, unit: 'standard errors', baseline: null, ratio: null },
      ...{ goal: `<= ${mostErrors}`, holds: errors <= mostErrors },
    },
  ];
}
