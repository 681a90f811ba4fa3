import { describe, expect, it } from 'vitest';
import { openPage, useBrowser, withFixture } from './screens.ts';

const browser = useBrowser();

describe('by keyboard alone', () => {
  it.each(['/', '/rooms', '/batches/K706', '/alarms', '/charts', '/farm', '/train'])(
    'everything on %s that can be used is reached, and is seen to be reached',
    async (path) => {
      await withFixture('warm', async (fixture) => {
        const page = await openPage(browser(), fixture, path, { width: 1280, height: 800 });
        await page.locator('.room, .shelf, canvas, .journal td, .payload, .parts, .run').first().waitFor();
        // What is drawn anew by a live value loses its mark, so rounds go on while something is left unreached.
        const unreached = () =>
          page.evaluate(() => {
            const usable = 'a[href]:not([tabindex="-1"]), button:not(:disabled), input, select, summary';
            return (
              [...document.querySelectorAll<HTMLElement>(usable)]
                .filter(
                  (one) => one.closest('dialog:not([open])') === null && one.getClientRects().length > 0,
                )
                // Of radio buttons that belong together the keyboard reaches the chosen one; arrows do the rest.
                .filter((one) => !(one instanceof HTMLInputElement && one.type === 'radio' && !one.checked))
                .filter((one) => one.dataset.reached === undefined)
                .map((one) => one.outerHTML.slice(0, 120))
            );
          });
        let left = await unreached();
        expect(left).not.toEqual([]);
        let unseen = '';
        for (let round = 0; round < 3 && left.length > 0; round += 1) {
          const presses = (await page.locator('a, button, input, select, summary').count()) + 12;
          for (let press = 0; press < presses; press += 1) {
            await page.keyboard.press('Tab');
            const unmarked = await page.evaluate(() => {
              const one = document.activeElement as HTMLElement;
              one.dataset.reached = 'yes';
              const marked = (part: Element | null | undefined) =>
                part != null &&
                getComputedStyle(part).outlineStyle !== 'none' &&
                getComputedStyle(part).outlineWidth !== '0px';
              // A control drawn by another element shows its focus there.
              const shown =
                marked(one) || marked(one.nextElementSibling) || marked(one.closest('.chart-place'));
              return shown || one === document.body ? '' : one.outerHTML.slice(0, 120);
            });
            if (unmarked !== '') unseen = unmarked;
          }
          left = await unreached();
        }
        expect(unseen).toBe('');
        expect(left).toEqual([]);
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
      await page
        .locator('dialog[open]')
        .waitFor({ state: 'detached' })
        .catch(() => {});
      expect(await page.locator('dialog[open]').count()).toBe(0);
      await page.close();
    });
  });
});

describe('by thumb', () => {
  it.each(['/', '/rooms', '/alarms', '/charts', '/farm', '/train'])(
    'what can be used on %s is 44 px or more, and the page does not scroll sideways',
    async (path) => {
      await withFixture('troubled', async (fixture) => {
        const page = await openPage(browser(), fixture, path, { width: 390, height: 844 });
        await page.locator('.room, .shelf, canvas, .journal td, .payload, .run').first().waitFor();
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
