import { fork } from 'node:child_process';
import { once } from 'node:events';
import { uniformInt } from 'pure-rand/distribution/uniformInt';
import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus';
import { systemClock as clock } from '../../collector/system-clock.ts';
import buildOnce from '../tools/built.ts';
import { openChromium } from '../tools/chromium.ts';
import { startCollector } from '../tools/collector.ts';
import { openFolder } from '../tools/open-folder.ts';
import type { Figure } from './figure.ts';
import { type Contender, numbers, openContender, quantile, timeReadings } from './painted.ts';

const seed = 20_261_125;
const rounds = 5;
const readingsPerRound = 200;
/** Fewer beside it: enough for its quantiles. */
const bareReadingsPerRound = 60;
const pixelChecks = 20;
const goalMs = 250;
/** What is not shown by then counts as not changed. */
const patienceMs = 10_000;
/** Pauses between readings, ms: never in step with the pace at which the server tells screens. */
const pause = { least: 120, most: 320 };

/** Of some readings, how many changed what a picture of the number's place holds. */
async function countPixelChanges(contender: Contender, count: number): Promise<number> {
  const place = contender.page.locator(contender.selector);
  let changed = 0;
  let before = await place.screenshot();
  for (let at = 0; at < count; at++) {
    const number = numbers[at % numbers.length] as string;
    const shown = new Promise<void>((resolve) => {
      contender.onShown = (seen) => seen === number && resolve();
      clock.after(patienceMs, resolve);
    });
    contender.publish(number);
    await shown;
    const after = await place.screenshot();
    if (!after.equals(before)) changed++;
    before = after;
  }
  return changed;
}

/**
 * From a reading published over MQTT to pixels changed in a browser, on the demo farm with all that runs in
 * it; beside a page that does nothing but show a number, in turn with it on the same machine.
 */
export async function run(): Promise<Figure[]> {
  buildOnce();
  const random = xoroshiro128plus(seed);
  using folder = openFolder('wall');
  await using collector = await startCollector(['--data', folder.path, '--port', '0']);
  const bareProcess = fork(new URL('./bare-page.ts', import.meta.url));
  const [ports] = (await once(bareProcess, 'message')) as [{ web: number; mqtt: number }];
  const browser = await openChromium();
  const wall = await openContender(browser, {
    url: collector.url,
    brokerUrl: collector.brokerUrl,
    topic: 'fernhollow/warm/air',
    selector: '.room:has(#room-warm) .room-temperature .value-number',
  });
  const bare = await openContender(browser, {
    url: `http://127.0.0.1:${ports.web}`,
    brokerUrl: `mqtt://127.0.0.1:${ports.mqtt}`,
    topic: 'bare/air',
    selector: '#number',
  });
  const pauseMs = () => uniformInt(random, pause.least, pause.most);
  // The first readings pay for compiling.
  await timeReadings(wall, 20, pauseMs);
  await timeReadings(bare, 20, pauseMs);
  // While the wall shows the page it opened with: after some minutes it turns to others.
  const changed = await countPixelChanges(wall, pixelChecks);
  const times = { wall: [] as number[], bare: [] as number[] };
  for (let round = 0; round < rounds; round++) {
    times.wall.push(...(await timeReadings(wall, readingsPerRound, pauseMs)));
    times.bare.push(...(await timeReadings(bare, bareReadingsPerRound, pauseMs)));
  }
  await wall.close();
  await bare.close();
  await browser.close();
  bareProcess.disconnect();
  await collector.end();

  for (const list of Object.values(times)) list.sort((one, other) => one - other);
  const line = (share: number, goal: number | null): Figure => {
    const [value, baseline] = [quantile(times.wall, share), quantile(times.bare, share)];
    return {
      name: `published to painted on the wall, p${share * 100}`,
      unit: 'ms',
      ...{ value, baseline, ratio: value / baseline },
      goal: goal === null ? null : `<= ${goal} ms`,
      holds: goal === null ? null : value <= goal,
    };
  };
  const count = (name: string, value: number, whole: number): Figure => ({
    ...{ name, value, unit: 'readings', baseline: null, ratio: null },
    goal: String(whole),
    holds: value === whole,
  });
  return [
    line(0.5, null),
    line(0.99, goalMs),
    line(1, null),
    count('readings that came to be painted', times.wall.length, rounds * readingsPerRound),
    count('of some, those whose picture differs from the one before', changed, pixelChecks),
  ];
}
