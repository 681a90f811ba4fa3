import { describe, expect, it } from 'vitest';
import { fixtureNow, liveAt } from './fixture/live.ts';
import { focusOf, openPage, useBrowser, withFixture } from './screens.ts';
import { violationsOf } from './violations.ts';
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

  it('a hot load is declared, measured and ended, and what came of it is read', async () => {
    await withFixture('quiet', async (fixture) => {
      const page = await openPage(browser(), fixture, '/unload', { width: 390, height: 844 });
      /** Walks to a button by Tab alone, and presses it. */
      const press = async (name: string) => {
        const button = page.getByRole('button', { name, exact: true });
        await button.waitFor();
        const isThere = () => button.evaluate((one) => one === document.activeElement);
        for (let tabs = 0; tabs < 80 && !(await isThere()); tabs += 1) await page.keyboard.press('Tab');
        expect(await isThere(), name).toBe(true);
        await page.keyboard.press('Enter');
      };
      await press('How many: one fewer');
      await page.getByRole('heading', { name: '23 may come in now' }).waitFor();
      await press('They are in the room now');
      await page.waitForURL('**/unloads/*');
      await page.locator('canvas').first().waitFor();
      // The page is another one: the focus is at its beginning, not on a button that is gone.
      await expect.poll(() => page.locator('main:focus, h1:focus').count()).toBe(1);
      expect(await violationsOf(page)).toEqual([]);
      expect(await walkByKeyboard(page)).toEqual({ left: [], unseen: '' });
      await press('Infrared on the surface');
      await page.keyboard.type('55');
      await page.keyboard.press('Enter');
      await page.getByRole('status').getByText('Saved: surface measured: 55.0 °C.').waitFor();
      await expect.poll(() => focusOf(page)).toBe('Infrared on the surface');
      await press('It is over');
      await expect.poll(() => focusOf(page)).toBe('Yes, it is over');
      await page.keyboard.press('Enter');
      await page.getByRole('heading', { name: 'What came of it' }).waitFor();
      await expect.poll(() => focusOf(page)).toBe('23 × Block 2 kg, Warm room');
      await page.locator('canvas').first().waitFor();
      expect(await violationsOf(page)).toEqual([]);
      expect(await walkByKeyboard(page)).toEqual({ left: [], unseen: '' });
      await page.close();
    });
  });

  it('a probe is chosen for a load, and the focus stays on the choice', async () => {
    await withFixture('unload', async (fixture) => {
      const live = liveAt(fixtureNow, 'unload');
      const probe: (typeof live.farm.channels)[number] = {
        ...live.farm.channels[0]!,
        id: 'cart.probe-temperature',
        sensor: 'Warm room cart',
        quantity: 'probe-temperature',
        room: 'warm',
        stands: 'loads',
      };
      const farm = { ...live.farm, channels: [...live.farm.channels, probe] };
      fixture.replace('farm', { ...live, farm });
      const page = await openPage(browser(), fixture, '/unloads/u-underway');
      const choice = page.getByLabel('Probe in it');
      await choice.focus();
      await choice.selectOption('Warm room cart');
      await expect
        .poll(() => fixture.sent.at(-1)?.body)
        .toMatchObject({ kind: 'probed', channel: 'cart.probe-temperature' });
      await expect.poll(() => choice.getAttribute('aria-disabled')).toBe('false');
      await expect.poll(() => choice.evaluate((one) => one === document.activeElement)).toBe(true);
      expect(await violationsOf(page)).toEqual([]);
      await page.close();
    });
  });

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
  it.each([
    '/',
    '/rooms',
    '/unload',
    '/unloads/u-underway',
    '/rooms/warm',
    '/alarms',
    '/charts',
    '/farm',
    '/train',
  ])('what can be used on %s is 44 px or more, and the page does not scroll sideways', async (path) => {
    await withFixture('troubled', async (fixture) => {
      const page = await openPage(browser(), fixture, path, { width: 390, height: 844 });
      await page.locator('.room, .shelf, canvas, .room-words, .journal td, .payload, .run').first().waitFor();
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
  });
});
