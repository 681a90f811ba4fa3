import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { openCollector } from '../../collector/main.ts';
import { systemClock } from '../../collector/system-clock.ts';
import type { AlarmJournalEntry } from '../../shared/alarms.ts';
import type { LiveState } from '../../shared/live.ts';
import { dayMs, hourMs, minuteMs } from '../../shared/time.ts';
import { watchBusyStretches } from '../tools/busy-stretch.ts';
import { changesSince, type FarmPast, pastOf } from '../tools/farm-past.ts';
import { until } from '../tools/until.ts';
import { newPage, useBrowser } from './screens.ts';

/** The demo itself, its history and all, in this process. */
const browser = useBrowser();
const folder = mkdtempSync(join(tmpdir(), 'shelfwarden-training-'));
let collector: Awaited<ReturnType<typeof openCollector>>;
let openedAt: number;
let past: FarmPast;
const answer = async <T>(path: string): Promise<T> => (await (await fetch(collector.url + path)).json()) as T;

beforeAll(async () => {
  openedAt = systemClock.now();
  collector = await openCollector({
    farmPath: undefined,
    dataFolder: folder,
    host: '127.0.0.1',
    port: 0,
    brokerUrl: undefined,
  });
  past = pastOf(folder);
}, 600_000);
afterAll(async () => {
  await collector?.close();
  rmSync(folder, { recursive: true, force: true });
});

describe('the past of the demo', () => {
  it('holds alarms that somebody saw at the next round, not all of them today', async () => {
    const journal = await answer<AlarmJournalEntry[]>('/api/sites/farm/alarms/journal');
    const raised = journal.filter(({ event }) => event === 'raised');
    const seen = journal.filter(({ event, who }) => event === 'acknowledged' && who === 'Ida');
    expect(seen.length).toBeGreaterThanOrEqual(3);
    for (const { t, alarm } of seen) {
      const before = raised.filter((entry) => entry.alarm === alarm && entry.t <= t).map((entry) => entry.t);
      expect(t - Math.max(...before), alarm).toBeGreaterThan(0);
      expect(t - Math.max(...before), alarm).toBeLessThan(dayMs);
      // The sun at Fernhollow is an hour ahead of UTC; the last look is three hours before the start.
      const hour = ((t + hourMs) % dayMs) / hourMs;
      const onRound = (hour >= 8.5 && hour < 9) || (hour >= 14.25 && hour < 14.75);
      expect(onRound || Math.abs(openedAt - 3 * hourMs - t) < 2 * minuteMs, `${hour} h`).toBe(true);
    }
    expect(new Set(seen.map(({ t }) => Math.floor(t / dayMs))).size).toBeGreaterThan(1);
    const { alarms } = await answer<LiveState>('/api/sites/farm/live');
    expect(alarms.some(({ ringing, id }) => ringing && id === 'high/warm.temperature')).toBe(true);
  });
});

describe('a training run beside the demo, through its screens', () => {
  it('is prepared without a pause, keeps up at 500 times, and leaves the farm alone', {
    timeout: 600_000,
  }, async () => {
    const page = await newPage(browser());
    await page.goto(`${collector.url}/train`);
    await page.getByText('No training run is open.').waitFor();
    await page.getByRole('radio', { name: /A quiet week/ }).check();
    await page.getByRole('radio', { name: '500×' }).check();
    const busy = watchBusyStretches();
    await page.getByRole('button', { name: 'Start' }).click();
    // A week before it is reckoned through first, in small parts.
    await page.getByRole('heading', { name: 'A training run is on' }).waitFor({ timeout: 400_000 });
    expect(busy.longest()).toBeLessThan(250);

    const wall = await newPage(browser());
    await wall.goto(`${collector.url}/training`);
    await wall.locator('.wall-age').waitFor();
    const startedAt = (await answer<LiveState>('/api/sites/training/live')).now;
    const hours = async (count: number) => {
      let now = startedAt;
      let asking = false;
      await until(systemClock, () => {
        if (!asking) {
          asking = true;
          void answer<LiveState>('/api/sites/training/live').then((live) => {
            now = live.now;
            asking = false;
          });
        }
        return now >= startedAt + count * hourMs;
      });
    };
    await hours(1);
    // Sensors speak once a minute of the run; a second of ours is eight of its minutes.
    await expect
      .poll(async () =>
        Number(/(\d+)\ss old/.exec((await wall.locator('.wall-age').textContent()) ?? '')?.[1]),
      )
      .toBeLessThanOrEqual(60);
    const clock = () => wall.locator('.wall-clock').textContent();
    const before = await clock();
    await hours(2);
    await expect.poll(clock).not.toBe(before);

    busy.stop();
    expect(busy.longest()).toBeLessThan(250);
    const changes = changesSince(folder, past);
    expect(changes.pastTouched).toBe(false);
    expect(changes.readings).toBeLessThan(1.2 * changes.channels * (changes.minutes + 1));
    expect(changes.readingsOfLater).toBe(0);

    await page.getByRole('button', { name: 'End the run' }).click();
    await wall.getByRole('heading', { name: 'No training run is open.' }).waitFor();
    await page.getByRole('button', { name: 'Start' }).waitFor();
    await page.close();
    await wall.close();
  });
});
