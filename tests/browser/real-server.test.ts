import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import mqtt from 'mqtt';
import type { Page } from 'playwright-core';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { systemClock as clock } from '../../collector/system-clock.ts';
import type { LiveState } from '../../shared/live.ts';
import { startCollector } from '../tools/collector.ts';
import { enter } from '../tools/enter.ts';
import { freePort } from '../tools/free-port.ts';
import { complaintsOf, openPage, settled, useBrowser } from './screens.ts';
import { violationsOf } from './violations.ts';

const browser = useBrowser();
const views = [
  { width: 1920, height: 1080 },
  { width: 390, height: 844 },
];

let folder: string;
const closers: (() => Promise<unknown>)[] = [];
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'shelfwarden-screens-'));
});
afterEach(async () => {
  for (const close of closers.splice(0).reverse()) await close();
  rmSync(folder, { recursive: true, force: true });
});

async function start(words: string[], port = 0) {
  const collector = await startCollector([...words, '--data', join(folder, 'data'), '--port', `${port}`]);
  closers.push(() => collector.end('SIGKILL'));
  return collector;
}

/** A reading of the warm room's own sensor, as its radio would send it. */
async function publish(brokerUrl: string, temperature: number): Promise<void> {
  const sensor = await mqtt.connectAsync(brokerUrl, { protocolVersion: 4 });
  const air = { temperature, humidity: 55 };
  await sensor.publishAsync('fernhollow/warm/air', JSON.stringify({ at: clock.now(), air, battery: 90 }), {
    qos: 1,
  });
  await sensor.endAsync();
}

/** Publishes until the wall shows it: the demo's own sensor speaks meanwhile, and may have had the last word. */
async function isShown(wall: Page, brokerUrl: string, temperature: number): Promise<void> {
  const number = wall.locator('.room:has(#room-warm) .room-temperature .value-number');
  await expect
    .poll(
      async () => {
        await publish(brokerUrl, temperature);
        // As long as a reading takes on a machine that has much to do.
        const shown = number.filter({ hasText: String(temperature) }).waitFor({ timeout: 5_000 });
        return shown.then(() => 'shown').catch(() => number.textContent());
      },
      { timeout: 90_000 },
    )
    .toBe('shown');
}

it('the demo as it is started shows live values on every screen, loses contact and finds it again', {
  timeout: 600_000,
}, async () => {
  const demo = await start([]);
  const live = (await (await fetch(`${demo.url}/api/sites/farm/live`)).json()) as LiveState;
  const pages: [string, string][] = [
    ['/', '.room'],
    ['/rooms', '.shelf'],
    [`/batches/${live.batches[0]!.id}`, 'canvas'],
    ['/strains/larch-2', '.strain-plot'],
    ['/charts', 'canvas'],
    ['/alarms', '.journal'],
    ['/farm', 'table'],
  ];
  for (const [path, whole] of pages) {
    const page = await openPage(browser(), demo, path);
    for (const view of views) {
      await page.setViewportSize(view);
      await page.locator(whole).first().waitFor();
      await settled(page);
      expect(await violationsOf(page), `${path} at ${view.width}`).toEqual([]);
      expect(complaintsOf(page), `${path} at ${view.width}`).toEqual([]);
    }
    await page.close();
  }

  const wall = await openPage(browser(), demo, '/', views[0]);
  await isShown(wall, demo.brokerUrl, 23.4);
  await isShown(wall, demo.brokerUrl, 23.9);

  await demo.end('SIGKILL');
  await wall.getByText(/No contact since/).waitFor();
  const again = await start([], Number(new URL(demo.url).port));
  expect(again.url).toBe(demo.url);
  await wall.getByText(/No contact since/).waitFor({ state: 'detached' });
  await isShown(wall, again.brokerUrl, 24.6);
  await wall.close();
});

it('a broker that is not there is told on every screen', async () => {
  const farmFile = join(folder, 'farm.yaml');
  writeFileSync(
    farmFile,
    `site: { id: small, name: Small farm, timeZone: Europe/Dublin }
rooms: [{ id: warm, name: Warm room }]
broker: { url: "mqtt://127.0.0.1:${await freePort()}" }
`,
  );
  const farm = await start(['--farm', farmFile]);
  const { headers } = await enter(farm.url);
  const [name = '', value = ''] = headers.cookie.split('=');
  for (const path of ['/', '/rooms', '/charts', '/alarms', '/farm', '/train']) {
    const page = await openPage(browser(), farm, path, { ...views[1], cookie: { name, value } });
    await page
      .getByText(/No contact with the broker: .* is away: nothing listens there/)
      .first()
      .waitFor();
    await page.close();
  }
});
