import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { expect, it } from 'vitest';
import { openCollector } from '../../collector/main.ts';
import { useBrowser } from './screens.ts';
import { violationsOf } from './violations.ts';

const browser = useBrowser();
// YAML takes JSON as it is.
const farm = {
  site: { id: 'test-site', name: 'Test site', timeZone: 'Europe/Berlin' },
  rooms: [{ id: 'warm', name: 'Warm room', racks: [{ id: 'A', shelves: [{ id: 'A1' }] }] }],
  broker: { embedded: { port: 0 } },
};
const password = 'four words of our own';
const sizes = { wall: { width: 1920, height: 1080 }, phone: { width: 390, height: 844 } };

/** A real farm of its own, on a folder where nobody has ever been. */
async function withFarm(use: (url: string) => Promise<void>): Promise<void> {
  const folder = mkdtempSync(join(tmpdir(), 'shelfwarden-doors-'));
  const farmPath = join(folder, 'farm.yaml');
  writeFileSync(farmPath, JSON.stringify(farm));
  const collector = await openCollector({
    farmPath,
    dataFolder: join(folder, 'data'),
    host: '127.0.0.1',
    port: 0,
    brokerUrl: undefined,
  });
  try {
    await use(collector.url);
  } finally {
    await collector.close();
    rmSync(folder, { recursive: true });
  }
}

/** A device of its own: no cookie of another. */
async function open(chromium: Browser, address: string, size: keyof typeof sizes): Promise<Page> {
  const context = await chromium.newContext({ viewport: sizes[size] });
  const page = await context.newPage();
  await page.goto(address);
  await page.locator('h1').first().waitFor();
  return page;
}

// A loaded machine takes minutes for what are seconds elsewhere.
it('walks from a new folder to the first person, a colleague and a paired wall', {
  timeout: 400_000,
}, async () => {
  await withFarm(async (url) => {
    const laptop = await open(browser(), url, 'wall');
    await laptop.getByRole('heading', { name: 'Nobody is set up yet' }).waitFor();
    expect(await violationsOf(laptop)).toEqual([]);
    await laptop.getByLabel('Name').fill('Ida');
    await laptop.getByLabel('Password', { exact: true }).fill('password1');
    await laptop.getByLabel('The same again').fill('password1');
    const secret = laptop.locator('#door-password');
    expect(await secret.getAttribute('autocomplete')).toBe('new-password');
    expect(await secret.getAttribute('type')).toBe('password');
    await laptop.getByRole('button', { name: 'Show Password' }).click();
    expect(await secret.getAttribute('type')).toBe('text');
    await laptop.getByRole('button', { name: 'Set up' }).click();
    await laptop.getByText('one of the first anybody would try').waitFor();
    await laptop.getByLabel('Password', { exact: true }).fill(password);
    await laptop.getByLabel('The same again').fill(password);
    await laptop.getByRole('button', { name: 'Set up' }).click();
    await laptop.getByRole('heading', { name: 'Warm room' }).waitFor();
    await laptop.goto(`${url}/farm`);
    await laptop.getByRole('link', { name: 'People and doors' }).click();
    await laptop.getByRole('heading', { name: 'People', exact: true }).waitFor();
    expect(await violationsOf(laptop)).toEqual([]);

    await laptop.locator('#invite-name').fill('Olaf');
    await laptop.getByRole('button', { name: 'Invite' }).click();
    const link = (await laptop.locator('.doors-secret code').textContent())!;
    expect(link).toMatch(new RegExp(`^${url}/join#[\\w-]{43}$`));

    const phone = await open(browser(), link, 'phone');
    await phone.getByRole('heading', { name: 'You were invited' }).waitFor();
    expect(await violationsOf(phone)).toEqual([]);
    await phone.getByLabel('Password', { exact: true }).fill(password);
    await phone.getByLabel('The same again').fill(password);
    await phone.getByRole('button', { name: 'Come in' }).click();
    await phone.getByRole('heading', { name: 'Warm room' }).waitFor();
    await phone.goto(`${url}/doors`);
    await phone.getByRole('heading', { name: 'Wall screens' }).waitFor();
    expect(await phone.getByRole('heading', { name: 'People', exact: true }).count()).toBe(0);

    const wall = await open(browser(), `${url}/pair`, 'wall');
    await wall
      .locator('.door-code')
      .getByText(/^[A-Z]{4}-[A-Z]{4}$/)
      .waitFor();
    expect(await violationsOf(wall)).toEqual([]);
    await phone.getByLabel('Code on the wall screen').fill((await wall.locator('.door-code').textContent())!);
    await phone.getByLabel('Name of the screen').fill('Lab wall');
    await phone.getByRole('button', { name: 'Pair', exact: true }).click();
    await phone.getByText('Lab wall').first().waitFor();
    expect(await violationsOf(phone)).toEqual([]);
    await wall.locator('.wall').waitFor();
    await wall.goto(url);
    await wall.locator('.wall').waitFor();

    await laptop.reload();
    await laptop.getByRole('button', { name: 'Shut out Lab wall' }).click();
    await wall.getByRole('heading', { name: 'Sign in' }).waitFor({ timeout: 15_000 });

    await laptop.goto(`${url}/doors/journal`);
    await laptop.getByText('Every line follows from the one before it.').waitFor();
    await laptop.getByRole('cell', { name: 'paired a screen', exact: true }).waitFor();
    expect(await violationsOf(laptop)).toEqual([]);

    const shots = process.env.SHELFWARDEN_PICTURES;
    if (shots !== undefined)
      for (const [name, page] of Object.entries({ laptop, phone, wall }))
        await page.screenshot({ path: join(shots, `doors-${name}.png`), fullPage: true });
    for (const page of [laptop, phone, wall]) await page.context().close();
  });
});
