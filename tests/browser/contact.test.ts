import { describe, expect, it } from 'vitest';
import { openPage, useBrowser, withFixture } from './screens.ts';

const browser = useBrowser();
const patienceMs = 10_000;

describe.each(['/', '/rooms'])('losing the server on %s', (path) => {
  it('says "no contact since" within 10 s when it goes, and is well again by itself', async () => {
    await withFixture('quiet', async (fixture) => {
      const page = await openPage(browser(), fixture, path);
      await page.getByText('25.4').first().waitFor();
      await fixture.goAway();
      await page.getByText(/No contact since 14:32:\d\d/).waitFor({ timeout: patienceMs });
      await fixture.comeBack();
      await page.getByText(/No contact since/).waitFor({ state: 'detached', timeout: patienceMs });
      await page.close();
    });
  });
});

describe('what is old', () => {
  it('is marked on the values themselves while there is no contact', async () => {
    await withFixture('quiet', async (fixture) => {
      const page = await openPage(browser(), fixture, '/');
      expect(await page.locator('.value-old').count()).toBe(0);
      await fixture.goAway();
      await page.getByText(/No contact since/).waitFor({ timeout: patienceMs });
      expect(await page.locator('.value-old').count()).toBe(4);
      expect(await page.locator('.value-doubt').first().textContent()).toMatch(/^old: 14:3\d$/);
      await page.close();
    });
  });

  it('is noticed within 10 s as well when the line hangs without breaking', async () => {
    await withFixture('quiet', async (fixture) => {
      const page = await openPage(browser(), fixture, '/');
      await page.locator('.room').first().waitFor();
      fixture.hang();
      await page.getByText(/No contact since/).waitFor({ timeout: patienceMs });
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
      expect(await page.locator('.value-old').count()).toBe(1);
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
