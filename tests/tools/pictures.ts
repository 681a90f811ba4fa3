import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { openCollector } from '../../collector/main.ts';
import { openChromium } from './chromium.ts';
import { openFolder } from './open-folder.ts';

/** Pictures of the README: the demo farm as a newcomer sees it, in a real browser. */
const folder = fileURLToPath(new URL('../../dashboard/pictures/', import.meta.url));
using data = openFolder('pictures');
const collector = await openCollector({
  farmPath: undefined,
  dataFolder: data.path,
  host: '127.0.0.1',
  port: 0,
  brokerUrl: undefined,
});
const browser = await openChromium();
try {
  mkdirSync(folder, { recursive: true });
  const page = await browser.newPage({ viewport: { width: 1920, height: 1080 }, deviceScaleFactor: 0.5 });
  for (const [name, path] of [
    ['wall', '/'],
    ['rooms', '/rooms'],
  ] as const) {
    await page.goto(`${collector.url}${path}`);
    await page.locator('svg').first().waitFor();
    // Forecasts come a moment after the first values.
    await page.waitForTimeout(5_000);
    await page.screenshot({ path: join(folder, `${name}.png`) });
  }
} finally {
  await browser.close();
  await collector.close();
}
