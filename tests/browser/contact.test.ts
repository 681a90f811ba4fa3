import type { Page } from 'playwright-core';
import { describe, expect, it } from 'vitest';
import type { Fixture } from './fixture/server.ts';
import { newPage, openPage, useBrowser, withFixture } from './screens.ts';

const browser = useBrowser();

/**
 * A page whose clock stands still but for what a test lets pass: what it does within 10 s of its own is then
 * the same on a busy machine. Streams and answers come as ever.
 */
async function openStill(fixture: Fixture, path: string): Promise<Page> {
  const page = await newPage(browser());
  // It goes on by itself until it is stopped, which is done well ahead of it.
  await page.clock.install({ time: fixture.now - 60_000 });
  await page.clock.pauseAt(fixture.now);
  await page.goto(fixture.url + path);
  await page.getByText('25.4').first().waitFor();
  return page;
}
const tenSeconds = (page: Page) => page.clock.runFor(10_000);

describe.each(['/', '/rooms'])('losing the server on %s', (path) => {
  it('says "no contact since" within 10 s when it goes, and is well again by itself', async () => {
    await withFixture('quiet', async (fixture) => {
      const page = await openStill(fixture, path);
      await fixture.goAway();
      await tenSeconds(page);
      await page.getByText(/No contact since 14:32:\d\d/).waitFor();
      await fixture.comeBack();
      await tenSeconds(page);
      await page.getByText(/No contact since/).waitFor({ state: 'detached' });
      await page.close();
    });
  });
});

describe('what is old', () => {
  it('is marked on the values themselves while there is no contact', async () => {
    await withFixture('quiet', async (fixture) => {
      const page = await openStill(fixture, '/');
      expect(await page.locator('.value-old').count()).toBe(0);
      await fixture.goAway();
      await tenSeconds(page);
      await page.getByText(/No contact since/).waitFor();
      await expect.poll(() => page.locator('.value-old').count()).toBe(4);
      await expect.poll(() => page.locator('.value-doubt').first().textContent()).toMatch(/^old: 14:3\d$/);
      await page.close();
    });
  });

  it('is noticed within 10 s as well when the line hangs without breaking', async () => {
    await withFixture('quiet', async (fixture) => {
      const page = await openStill(fixture, '/');
      fixture.hang();
      await tenSeconds(page);
      await page.getByText(/No contact since/).waitFor();
      await page.close();
    });
  });

  it('is said of a silent sensor, though the server is heard', async () => {
    await withFixture('quiet', async (fixture) => {
      const page = await openPage(browser(), fixture, '/');
      const old = {
        t: fixture.now - 41 * 60_000,
        value: 25.4,
        quality: 'good',
        trendPerH: null,
        silent: true,
      } as const;
      fixture.change('farm', { now: fixture.now + 1_000, channels: { 'warm-air.temperature': old } });
      await page.getByText('old: 13:51').waitFor();
      await expect.poll(() => page.locator('.value-old').count()).toBe(1);
      await page.close();
    });
  });

  it('and of a suspect one', async () => {
    await withFixture('quiet', async (fixture) => {
      const page = await openPage(browser(), fixture, '/');
      const odd = { t: fixture.now, value: 25.4, quality: 'suspect', trendPerH: 0, silent: false } as const;
      fixture.change('farm', { now: fixture.now + 1_000, channels: { 'warm-air.temperature': odd } });
      await page.getByText('suspect', { exact: true }).waitFor();
      await page.close();
    });
  });
});
