import type { Page } from 'playwright-core';
import { describe, expect, it } from 'vitest';
import { betweenFrames, openPage, useBrowser, withFixture } from './screens.ts';

const browser = useBrowser();

async function makeBatch(page: Page): Promise<void> {
  await page.getByRole('button', { name: 'Record', exact: true }).click();
  await page.getByRole('radio', { name: 'Made' }).check();
  await page.locator('#record-newBatch').fill('K739');
  await page.locator('#record-count').fill('8');
  await page.locator('#record-strain').selectOption('larch-2');
  await page.locator('#record-container').selectOption('bag-3l');
  await page.locator('#record-amount').fill('12');
  await page.locator('#record-shelf').selectOption('A2');
  await page.locator('#record-who').fill('Ida');
}

describe('recording', () => {
  it('makes a batch and places it, each event under an id of its own', async () => {
    await withFixture('quiet', async (fixture) => {
      const page = await openPage(browser(), fixture, '/rooms');
      await makeBatch(page);
      await page.getByRole('button', { name: 'Save' }).click();
      await page.getByText(/^Saved: K739 made; K739 placed/).waitFor();
      const bodies = fixture.sent.map(({ body }) => body as { id: string; kind: string });
      expect(bodies.map(({ kind }) => kind)).toEqual(['made', 'placed']);
      expect(new Set(bodies.map(({ id }) => id)).size).toBe(2);
      await page.close();
    });
  });

  it('says what is wrong at each field and sends nothing', async () => {
    await withFixture('quiet', async (fixture) => {
      const page = await openPage(browser(), fixture, '/rooms');
      await page.getByRole('button', { name: 'Record', exact: true }).click();
      await page.getByRole('radio', { name: 'Discarded' }).check();
      await page.getByRole('button', { name: 'Save' }).click();
      await page.getByText('Choose the batch that it is about.').waitFor();
      await page.getByText('Say why, so that it can be learned from.').waitFor();
      await expect.poll(() => page.evaluate(() => document.activeElement?.id)).toBe('record-batch');
      expect(fixture.sent).toEqual([]);
      await page.close();
    });
  });

  it('keeps all that was typed when the server refuses, over a reload, and tries again under the same id', async () => {
    let full = true;
    const refuseEvents = () =>
      full
        ? {
            status: 422,
            problem: {
              title: 'Out of range',
              status: 422,
              detail: 'Shelf A2 is full.',
              errors: [{ pointer: '#/shelf', detail: 'no place left here' }],
            },
          }
        : null;
    await withFixture(
      'quiet',
      async (fixture) => {
        const page = await openPage(browser(), fixture, '/rooms');
        await makeBatch(page);
        await page.getByRole('button', { name: 'Save' }).click();
        await page.getByText('Shelf A2 is full.').waitFor();
        await page.getByText('no place left here').waitFor();
        await betweenFrames(page, async () => {
          await page.reload();
          await page.getByRole('button', { name: 'Record', exact: true }).click();
        });
        await expect.poll(() => page.locator('#record-newBatch').inputValue()).toBe('K739');
        await expect.poll(() => page.locator('#record-count').inputValue()).toBe('8');
        await expect.poll(() => page.locator('#record-strain').inputValue()).toBe('larch-2');
        full = false;
        await page.getByRole('button', { name: 'Save' }).click();
        await page.getByText(/^Saved: K739/).waitFor();
        const ids = fixture.sent.map(({ body }) => (body as { id: string }).id);
        expect(ids[1]).toBe(ids[0]);
        await page.close();
      },
      { refuseEvents },
    );
  });

  it('keeps it when there is no server at all', async () => {
    await withFixture('quiet', async (fixture) => {
      const page = await openPage(browser(), fixture, '/rooms');
      await makeBatch(page);
      await fixture.goAway();
      await page.getByRole('button', { name: 'Save' }).click();
      await page.getByText('no contact with the server').waitFor();
      await expect.poll(() => page.locator('#record-newBatch').inputValue()).toBe('K739');
      await fixture.comeBack();
      await page.getByRole('button', { name: 'Save' }).click();
      await page.getByText(/^Saved: K739/).waitFor();
      await page.close();
    });
  });

  it('takes back what was just saved', async () => {
    await withFixture('quiet', async (fixture) => {
      const page = await openPage(browser(), fixture, '/rooms');
      await page.locator('.cohort-record').nth(5).click();
      await page.getByRole('radio', { name: 'Shaken' }).check();
      await page.locator('#record-who').fill('Ida');
      await page.getByRole('button', { name: 'Save' }).click();
      await page.getByRole('button', { name: 'Take back' }).click();
      await page.getByText('Taken back.').waitFor();
      const [shaken, undone] = fixture.sent.map(({ body }) => body as { id: string; event?: string });
      expect(undone).toMatchObject({ kind: 'undone', event: shaken?.id });
      await page.close();
    });
  });
});
