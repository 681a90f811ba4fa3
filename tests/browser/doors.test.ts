import { execFileSync } from 'node:child_process';
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { expect, it } from 'vitest';
import { startCollector } from '../tools/collector.ts';
import { openFolder } from '../tools/open-folder.ts';
import { focusOf, newPage, settled, useBrowser } from './screens.ts';
import { violationsOf } from './violations.ts';
import { walkByKeyboard } from './walk.ts';

const browser = useBrowser();
// YAML takes JSON as it is.
const farm = {
  site: { id: 'test-site', name: 'Test site', timeZone: 'Europe/Berlin' },
  rooms: [{ id: 'warm', name: 'Warm room', racks: [{ id: 'A', shelves: [{ id: 'A1' }] }] }],
  sensors: [
    {
      ...{ id: 'warm-air', topic: 'sensors/warm', decoder: 'plain', at: 'warm' },
      channels: [{ quantity: 'temperature', unit: 'degC' }],
    },
  ],
  broker: { embedded: { port: 0 } },
};
const password = 'four words of our own';
const sizes = { wall: { width: 1920, height: 1080 }, phone: { width: 390, height: 844 } };

/** A real farm of its own, on a folder where nobody has ever been. */
async function withFarm(use: (url: string) => Promise<void>): Promise<void> {
  using folder = openFolder('doors');
  const farmPath = join(folder.path, 'farm.yaml');
  writeFileSync(farmPath, JSON.stringify(farm));
  const words = ['--farm', farmPath, '--data', join(folder.path, 'data'), '--port', '0'];
  await using collector = await startCollector(words);
  await use(collector.url);
  await collector.end();
}

/** A device of its own: no cookie of another. */
async function open(chromium: Browser, address: string, size: keyof typeof sizes): Promise<Page> {
  const page = await newPage(chromium, sizes[size]);
  await page.goto(address);
  await page.locator('h1').first().waitFor();
  await settled(page);
  return page;
}

const wholly = { left: [], unseen: '' };
const shots = process.env.SHELFWARDEN_PICTURES;
const picture = async (page: Page, name: string): Promise<void> => {
  if (shots !== undefined) await page.screenshot({ path: join(shots, `doors-${name}.png`), fullPage: true });
};

it('walks from a new folder to the first person, a colleague and a paired wall', async () => {
  await withFarm(async (url) => {
    const laptop = await open(browser(), url, 'wall');
    await laptop.getByRole('heading', { name: 'Nobody is set up yet' }).waitFor();
    expect(await violationsOf(laptop)).toEqual([]);
    expect(await walkByKeyboard(laptop)).toEqual(wholly);
    await picture(laptop, '1-nobody');
    await laptop.getByLabel('Name').fill('Ida');
    await laptop.getByLabel('Password', { exact: true }).fill('Qwerty123456');
    await laptop.getByLabel('The same again').fill('Qwerty123456');
    await laptop.getByText('weak: easy to guess').waitFor();
    const secret = laptop.locator('#door-password');
    await expect.poll(() => secret.getAttribute('autocomplete')).toBe('new-password');
    await expect.poll(() => secret.getAttribute('type')).toBe('password');
    await laptop.getByRole('button', { name: 'Show Password' }).click();
    await expect.poll(() => secret.getAttribute('type')).toBe('text');
    await laptop.getByRole('button', { name: 'Set up' }).click();
    await laptop.getByText('one of the first anybody would try').waitFor();
    await laptop.getByLabel('Password', { exact: true }).fill(password);
    await laptop.getByText('strong', { exact: true }).waitFor();
    await laptop.getByLabel('The same again').fill(password);
    await laptop.getByRole('button', { name: 'Set up' }).click();
    await laptop.getByRole('heading', { name: 'Warm room' }).waitFor();
    await laptop.goto(`${url}/farm`);
    await laptop.getByRole('link', { name: 'People and doors' }).click();
    await laptop.getByRole('heading', { name: 'People', exact: true }).waitFor();
    await settled(laptop);
    expect(await violationsOf(laptop)).toEqual([]);

    expect(await walkByKeyboard(laptop)).toEqual(wholly);
    await laptop.locator('#device-name').fill('warm-air');
    await laptop.locator('#device-topic').fill('sensors/warm');
    await laptop.getByRole('button', { name: 'Add a device' }).click();
    const line = (await laptop.locator('.doors-secret code').textContent())!.split(' ');
    expect(line[0]).toBe('mosquitto_pub');
    await picture(laptop, '2-device');

    await laptop.locator('#invite-name').fill('Olaf');
    await laptop.getByRole('button', { name: 'Invite' }).click();
    const link = (await laptop.locator('#people ~ .doors-secret code').textContent())!;
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
    await picture(wall, '3-pair');
    await phone.getByLabel('Code on the wall screen').fill((await wall.locator('.door-code').textContent())!);
    await phone.getByLabel('Name of the screen').fill('Lab wall');
    await phone.getByRole('button', { name: 'Pair', exact: true }).click();
    await phone.getByText('Lab wall').first().waitFor();
    expect(await violationsOf(phone)).toEqual([]);
    await wall.locator('.wall').waitFor();
    await wall.goto(url);
    await wall.locator('.wall').waitFor();
    // The line as it stands on the screen, run by a real client.
    execFileSync(line[0]!, line.slice(1));
    await wall.locator('.room-temperature').getByText('21.5').waitFor();
    await picture(wall, '4-wall');

    // A list that cannot be read says so, and is read after all by a tap.
    await laptop.route('**/api/doors/walls', (route) => route.abort());
    await laptop.reload();
    const walls = laptop.getByRole('region', { name: 'Wall screens' });
    await walls.getByText('This could not be read: no contact with the server').waitFor();
    expect(await violationsOf(laptop)).toEqual([]);
    await picture(laptop, '8-not-read');
    await laptop.unroute('**/api/doors/walls');
    await walls.getByRole('button', { name: 'Try again' }).click();
    await laptop.getByRole('button', { name: 'Shut out Lab wall' }).click();
    // Its row is gone, and with it what had the keyboard.
    await expect.poll(() => focusOf(laptop)).toBe('Wall screens');
    await wall.getByRole('heading', { name: 'Sign in' }).waitFor();
    expect(await violationsOf(wall)).toEqual([]);
    expect(await walkByKeyboard(wall)).toEqual(wholly);
    await picture(wall, '5-sign-in');
    await picture(laptop, '6-doors');
    await picture(phone, '7-phone');

    await laptop.goto(`${url}/doors/journal`);
    await laptop.getByText('Every line follows from the one before it.').waitFor();
    await laptop.getByRole('cell', { name: 'paired a screen', exact: true }).waitFor();
    expect(await violationsOf(laptop)).toEqual([]);

    for (const page of [laptop, phone, wall]) await page.close();
  });
});
