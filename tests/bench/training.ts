import { fork } from 'node:child_process';
import { once } from 'node:events';
import mqtt from 'mqtt';
import type { Page } from 'playwright-core';
import { systemClock } from '../../collector/system-clock.ts';
import buildOnce from '../tools/built.ts';
import { openChromium } from '../tools/chromium.ts';
import { changesSince, pastOf } from '../tools/farm-past.ts';
import { openFolder } from '../tools/open-folder.ts';
import type { Figure } from './figure.ts';
import type { FarmAddress, LoopDelay } from './training-farm.ts';

/** Both built-in weeks, whole, at 500 times, steered through the screens beside the live demo. */
const speed = 500;
const weeks = [
  { name: 'A quiet week', short: 'quiet', lines: [] as string[] },
  {
    name: 'Cooling fails at night',
    short: 'cooling fails',
    lines: ['The cooler of the Warm room stopped', 'Warm room passed 28 °C'],
  },
];
const sleep = (ms: number) => new Promise<void>((passed) => void systemClock.after(ms, passed));
const quantile = (values: number[], p: number) =>
  values.sort((a, b) => a - b)[Math.min(values.length - 1, Math.floor(p * values.length))] ?? 0;

/** `readings 12 s old` in seconds. */
async function shownAgeS(page: Page): Promise<number> {
  const text = await page.locator('.wall-age').textContent();
  const [, count, unit] = /(\d+)\s(s|min|h|d)/.exec(text ?? '') ?? [];
  return Number(count ?? 1e9) * { s: 1, min: 60, h: 3_600, d: 86_400 }[unit ?? 's']!;
}

interface Line {
  what: string;
  seenAt: number | null;
  seenBy: string | null;
}

async function runWeek({ name, short, lines }: (typeof weeks)[number]): Promise<Figure[]> {
  using folder = openFolder('week');
  const farm = fork(new URL('./training-farm.ts', import.meta.url), [folder.path], {
    execArgv: ['--import', 'tsx'],
  });
  const [{ url, broker }] = (await once(farm, 'message')) as [FarmAddress];
  const loopDelay = async (): Promise<LoopDelay> => {
    farm.send('tell');
    return (await once(farm, 'message'))[0] as LoopDelay;
  };
  const browser = await openChromium();
  const sensors = mqtt.connect(broker);
  let heard = 0;
  sensors.on('message', () => {
    heard += 1;
  });
  await sensors.subscribeAsync('#');
  try {
    const open = async (path: string) => {
      const page = await browser.newPage({ viewport: { width: 1280, height: 720 } });
      page.setDefaultTimeout(120_000);
      await page.goto(url + path);
      return page;
    };
    const live = await open('/');
    const train = await open('/train');
    await sleep(15_000);
    await loopDelay();
    await sleep(10_000);
    const before = await loopDelay();
    const past = pastOf(folder.path);
    const startedAt = systemClock.now();
    heard = 0;

    await train.getByRole('radio', { name: new RegExp(name) }).check();
    await train.getByRole('radio', { name: `${speed}×` }).check();
    await train.getByRole('button', { name: 'Start' }).click();
    await train.getByRole('heading', { name: 'A training run is on' }).waitFor({ timeout: 400_000 });
    const preparing = await loopDelay();

    const screen = await open('/training');
    await screen.locator('.wall-age').waitFor();
    const ages: number[] = [];
    const liveAges: number[] = [];
    const delays: LoopDelay[] = [];
    const ended = train.getByRole('heading', { name: 'The week is over' });
    while (!(await ended.isVisible())) {
      await sleep(1_000);
      ages.push(((await shownAgeS(screen)) * 1_000) / speed);
      liveAges.push(await shownAgeS(live));
      delays.push(await loopDelay());
      // Ten minutes of the farm: somebody comes and acknowledges on the screen.
      const button = screen.locator('.band-button');
      if (await button.isVisible()) await button.click({ timeout: 5_000 }).catch(() => {});
    }
    const tookMin = (systemClock.now() - startedAt) / 60_000;
    const report = (await (await fetch(`${url}/api/training/report`)).json()) as Line[];
    const shown = await train.locator('.report tbody tr').allInnerTexts();
    for (const row of shown) console.log(`${short}: ${row.replaceAll(/\s+/g, ' ')}`);
    const right =
      report.length === shown.length &&
      (lines.length === 0 ? report.length === 0 : lines.every((line) => report.some(seen(line))));
    const added = changesSince(folder.path, past);
    const perMinute = heard / tookMin;
    const mostReadings = Math.ceil(1.1 * added.channels * (added.minutes + 1));

    const figure = (
      what: string,
      value: number,
      unit: string,
      goal: string | null,
      holds: boolean | null,
    ) => ({
      name: `${short}: ${what}`,
      value,
      unit,
      baseline: null,
      ratio: null,
      goal,
      holds,
    });
    const longest = Math.max(...delays.map(({ max }) => max));
    return [
      figure('week took', tookMin, 'min', '19.5 min and what preparing takes', tookMin < 21),
      figure('loop delay before, max', before.max, 'ms', null, null),
      figure('loop delay preparing, max', preparing.max, 'ms', 'below 250', preparing.max < 250),
      figure(
        'loop delay running, median of p99',
        quantile(
          delays.map(({ p99 }) => p99),
          0.5,
        ),
        'ms',
        null,
        null,
      ),
      figure('loop delay running, max', longest, 'ms', 'below 250', longest < 250),
      figure('age shown in training, p50', quantile(ages, 0.5), 'ms real', null, null),
      figure(
        'age shown in training, p99',
        quantile(ages, 0.99),
        'ms real',
        'at most 1000',
        quantile(ages, 0.99) <= 1_000,
      ),
      figure(
        'age shown of the farm, max',
        Math.max(...liveAges),
        's',
        'at most 30',
        Math.max(...liveAges) <= 30,
      ),
      figure('messages on the farm’s broker', perMinute, '/min', 'at most 20', perMinute <= 20),
      figure('farm’s past touched', Number(added.pastTouched), '', 'no (0)', !added.pastTouched),
      figure(
        'readings added to the farm',
        added.readings,
        'rows',
        `at most ${mostReadings}`,
        added.readings <= mostReadings,
      ),
      figure('readings of later', added.readingsOfLater, 'rows', '0', added.readingsOfLater === 0),
      figure(
        'messages to people',
        added.outbox,
        'rows',
        'of the farm’s own alarms',
        added.outbox <= 2 * added.journal,
      ),
      figure('lines of the end list', report.length, 'lines', 'what really happened', right),
    ];
  } finally {
    await sensors.endAsync(true);
    await browser.close();
    farm.send('end');
    await once(farm, 'exit');
  }
}

const seen = (what: string) => (line: Line) =>
  line.what.startsWith(what) && line.seenAt !== null && line.seenBy !== null;

export async function run(): Promise<Figure[]> {
  buildOnce();
  const figures: Figure[] = [];
  for (const week of weeks) figures.push(...(await runWeek(week)));
  return figures;
}
