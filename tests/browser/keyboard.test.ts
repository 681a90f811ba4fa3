import { describe, expect, it } from 'vitest';
import { openPage, useBrowser, withFixture } from './screens.ts';
import { walkByKeyboard } from './walk.ts';

const browser = useBrowser();

describe('by keyboard alone', () => {
  it.each(['/', '/rooms', '/unload', '/batches/K706', '/alarms', '/charts', '/farm', '/train'])(
    'everything on %s that can be used is reached, and is seen to be reached',
    async (path) => {
      await withFixture('warm', async (fixture) => {
        const page = await openPage(browser(), fixture, path, { width: 1280, height: 800 });
        await page.locator('.room, .shelf, canvas, .journal td, .payload, .parts, .run').first().waitFor();
        expect(await walkByKeyboard(page)).toEqual({ left: [], unseen: '' });
        await page.close();
      });
    },
  );

  it('the form opens, takes a check, saves and closes', async () => {
    await withFixture('quiet', async (fixture) => {
      const page = await openPage(browser(), fixture, '/rooms');
      await page.locator('.cohort-record').nth(5).focus();
      await page.keyboard.press('Enter');
      await page.locator('dialog[open]').waitFor();
      await page.locator('#record-share').focus();
      for (let press = 0; press < 3; press += 1) await page.keyboard.press('ArrowRight');
      await page.locator('#record-who').focus();
      await page.keyboard.type('Ida');
      await page.keyboard.press('Enter');
      await page.getByText(/^Saved: K706/).waitFor();
      expect(fixture.sent).toHaveLength(1);
      expect(fixture.sent[0]?.body).toMatchObject({
        kind: 'checked',
        batch: 'K706',
        share: 0.03,
        who: 'Ida',
      });
      await page.keyboard.press('Escape');
      await page.locator('dialog[open]').waitFor({ state: 'detached' });
      await page.close();
    });
  });
});

describe('by thumb', () => {
  it.each(['/', '/rooms', '/unload', '/rooms/warm', '/alarms', '/charts', '/farm', '/train'])(
    'what can be used on %s is 44 px or more, and the page does not scroll sideways',
    async (path) => {
      await withFixture('troubled', async (fixture) => {
        const page = await openPage(browser(), fixture, path, { width: 390, height: 844 });
        await page
          .locator('.room, .shelf, canvas, .room-words, .journal td, .payload, .run')
          .first()
          .waitFor();
        const { small, wide } = await page.evaluate(() => {
          const small = [
            ...document.querySelectorAll<HTMLElement>('button, select, input, summary, nav a, .button'),
          ]
            .filter((one) => one.closest('dialog:not([open])') === null)
            // A box that is ticked by its label is as large as the label.
            .map((one) => ({ one, box: (one.closest('label') ?? one).getBoundingClientRect() }))
            .filter(({ box }) => box.width > 0 && (box.height < 43.5 || box.width < 43.5))
            .map(({ one, box }) => `${one.outerHTML.slice(0, 90)} ${box.width}x${box.height}`);
          return { small, wide: document.documentElement.scrollWidth };
        });
        expect(small).toEqual([]);
        expect(wide).toBeLessThanOrEqual(390);
        await page.close();
      });
    },
  );
});
