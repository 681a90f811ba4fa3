import { describe, expect, it } from 'vitest';
import { complaintsOf, openPage, useBrowser, withFixture } from './screens.ts';
import { violationsOf } from './violations.ts';

const browser = useBrowser();

/** Paths, with what shows that the page has all it asked for. */
const pages = [
  ['/', '.room'],
  ['/rooms', '.shelf'],
  ['/unload', '.verdict h2'],
  ['/unloads/u-past-3', '.unload canvas'],
  ['/unloads/u-scheduled', '.unload canvas'],
  ['/unloads/none', '.page-note .button'],
  ['/rooms/warm', '.room-words'],
  ['/batches/K706', 'canvas'],
  ['/batches/none', '.page-note h1'],
  ['/alarms', '.journal td'],
  ['/alarms/one?id=high%2Fwarm-air.temperature', '.alarm-page canvas'],
  ['/alarms/one?id=none', '.page-note h1'],
  ['/alarms/journal', '.journal td'],
  ['/alarms/how-often', '.rates'],
  ['/alarms/limits#warm.temperature', '.limit-editor'],
  ['/charts', 'canvas'],
  ['/farm', '.payload'],
  ['/train', '.run'],
  ['/training', '.room'],
  ['/training/rooms', '.shelf'],
  ['/nowhere', '.page-note'],
] as const;

it.each(pages)(
  '%s has no violation in light and dark, and says nothing on the console',
  async (path, whole) => {
    await withFixture('troubled', async (fixture) => {
      const page = await openPage(browser(), fixture, path);
      await page.locator(whole).first().waitFor();
      expect(await violationsOf(page)).toEqual([]);
      await page.emulateMedia({ colorScheme: 'dark' });
      expect(await violationsOf(page)).toEqual([]);
      const missing = path.endsWith('none') ? /404/ : /^$/;
      expect(complaintsOf(page).filter((said) => !missing.test(said))).toEqual([]);
      await page.close();
    });
  },
);

describe.each(['light', 'dark'] as const)('%s', (theme) => {
  it('the form for recording has none either, with everything wrong in it', async () => {
    await withFixture('quiet', async (fixture) => {
      const page = await openPage(browser(), fixture, '/rooms', { theme });
      await page.getByRole('button', { name: 'Record', exact: true }).click();
      await page.getByRole('radio', { name: 'Made' }).check();
      await page.getByRole('button', { name: 'Save' }).click();
      await page.locator('.field-problem').first().waitFor();
      expect(await violationsOf(page)).toEqual([]);
      await page.close();
    });
  });

  it('nor do the phone’s form of the wall and of the rooms', async () => {
    await withFixture('troubled', async (fixture) => {
      for (const path of ['/', '/rooms']) {
        const page = await openPage(browser(), fixture, path, { theme, width: 390, height: 844 });
        expect(await violationsOf(page)).toEqual([]);
        await page.close();
      }
    });
  });
});
