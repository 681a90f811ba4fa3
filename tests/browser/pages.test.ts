import { describe, expect, it } from 'vitest';
import { dayMs } from '../../shared/time.ts';
import { fixtureNow, liveAt } from './fixture/live.ts';
import { startFixture } from './fixture/server.ts';
import {
  betweenFrames,
  complaintsOf,
  focusOf,
  openPage,
  trainingAt,
  useBrowser,
  withFixture,
} from './screens.ts';
import { violationsOf } from './violations.ts';

const browser = useBrowser();

describe('between screens', () => {
  it('moves without loading anew, and back', async () => {
    await withFixture('quiet', async (fixture) => {
      const page = await openPage(browser(), fixture, '/rooms');
      await page.evaluate(() => {
        (window as { stayed?: boolean }).stayed = true;
      });
      await page.getByRole('link', { name: 'Alarms' }).click();
      await page.getByRole('heading', { name: 'Alarms' }).waitFor();
      // The demo says on each page that it has no lock.
      await page.getByText('demo: nobody signs in').waitFor();
      await page.waitForURL('**/alarms');
      await page.goBack();
      await page.getByRole('heading', { name: 'Rooms and shelves' }).waitFor();
      expect(await page.evaluate(() => (window as { stayed?: boolean }).stayed)).toBe(true);
      await page.close();
    });
  });

  it('goes from a shelf to its batch', async () => {
    await withFixture('quiet', async (fixture) => {
      const page = await openPage(browser(), fixture, '/rooms');
      await page.locator('.cohort-what a').nth(5).click();
      await page
        .getByRole('heading', { name: 'Lion’s mane, Brook 4' })
        .or(page.getByRole('heading', { name: "Lion's mane, Brook 4" }))
        .waitFor();
      await page.locator('canvas').first().waitFor();
      await page.close();
    });
  });
});

describe('this screen’s settings', () => {
  it('turn every temperature to °F and stay after a reload', async () => {
    await withFixture('warm', async (fixture) => {
      const page = await openPage(browser(), fixture, '/farm');
      await page.getByRole('radio', { name: '°F' }).check();
      await page.goto(fixture.url);
      await page.getByText('85.3', { exact: true }).waitFor();
      await expect
        .poll(() => page.locator('.band-title').textContent())
        .toBe('Warm room too warm: 85.3\u00a0°F, limit\u00a082.4');
      await page.close();
    });
  });

  it('hold a theme against the device’s', async () => {
    await withFixture('quiet', async (fixture) => {
      const page = await openPage(browser(), fixture, '/farm', { theme: 'light' });
      await page.getByRole('radio', { name: 'dark' }).check();
      const ground = () => page.evaluate(() => getComputedStyle(document.documentElement).backgroundColor);
      await expect.poll(ground).toBe('rgb(28, 31, 34)');
      await page.reload();
      await page.locator('h1').waitFor();
      await expect.poll(ground).toBe('rgb(28, 31, 34)');
      await page.close();
    });
  });

  it('bind a foot switch that types a key of its own', async () => {
    await withFixture('warm', async (fixture) => {
      const page = await openPage(browser(), fixture, '/farm');
      await betweenFrames(page, async () => {
        await page.getByRole('button', { name: 'Bind a key or foot switch' }).click();
        await page.keyboard.press('F8');
      });
      await page.getByRole('button', { name: 'Unbind F8' }).waitFor();
      await page.goto(fixture.url);
      await page.locator('.band').waitFor();
      await page.keyboard.press('F8');
      await page.locator('.band-outline').waitFor();
      await page.close();
    });
  });
});

it('a test message is sent from the farm page, and each step of it is told', async () => {
  await withFixture('quiet', async (fixture) => {
    const page = await openPage(browser(), fixture, '/farm', { width: 390, height: 844 });
    await page.getByRole('button', { name: 'Send a test by email to Rowan' }).click();
    const steps = page.locator('.told-person:has-text("Rowan") .way').first().locator('li');
    await steps.nth(1).waitFor();
    await expect
      .poll(() => steps.allTextContents())
      .toEqual([
        'Found mail.fernhollow.example is 192.0.2.7',
        'Failed The server refused the password of alarms: 535.',
      ]);
    expect(fixture.sent.find(({ path }) => path.endsWith('/people/try'))?.body).toMatchObject({
      person: 'rowan',
      channel: 'email',
    });
    await page.getByText('barn-horn, which cannot be used').waitFor();
    expect(await violationsOf(page)).toEqual([]);
    await page.close();
  });
});

describe('a training run', () => {
  it('can’t be mistaken for the farm: its word, its edge, its ground, its title', async () => {
    await withFixture('quiet', async (fixture) => {
      const farm = await openPage(browser(), fixture, '/rooms');
      const ground = (page: typeof farm) =>
        page.evaluate(() => getComputedStyle(document.documentElement).backgroundColor);
      for (const path of [
        '/training',
        '/training/rooms',
        '/training/alarms',
        '/training/charts',
        '/training/farm',
      ]) {
        const page = await openPage(browser(), fixture, path);
        await page.locator('.training-word').waitFor();
        await expect.poll(() => page.locator('.training-edge').count(), { message: path }).toBe(1);
        await expect.poll(() => page.title()).toMatch(/TRAINING/);
        await expect.poll(() => ground(page)).not.toBe(await ground(farm));
        await page.close();
      }
      await farm.close();
    });
  });

  it('is acted on under its own address', async () => {
    await withFixture('warm', async (fixture) => {
      const page = await openPage(browser(), fixture, '/training');
      await page.keyboard.press('Enter');
      await page.locator('.band-outline').waitFor();
      expect(fixture.sent.map(({ path }) => path)).toEqual(['/api/sites/training/alarms/act']);
      await page.close();
    });
  });

  it('is chosen, started and looked back on from one page', async () => {
    const fixture = await startFixture({ farm: liveAt(fixtureNow, 'quiet') });
    const page = await openPage(browser(), fixture, '/train');
    await page.getByRole('radio', { name: /Cooling fails at night/ }).check();
    await page.getByRole('radio', { name: '500×' }).check();
    await page.getByRole('button', { name: 'Start' }).click();
    await expect
      .poll(() => fixture.sent)
      .toEqual([{ path: '/api/training/start', body: { week: 'cooling-fails', speed: 500 } }]);
    const training = trainingAt(fixtureNow, 'warm');
    fixture.report([
      {
        t: fixtureNow,
        what: 'The warm room’s cooler tripped',
        seenAt: fixtureNow + 1_800_000,
        seenBy: 'Ida',
      },
      { t: fixtureNow + dayMs, what: 'Shelf B1 ran hot', seenAt: null, seenBy: null },
    ]);
    fixture.replace('training', { ...training, run: { ...training.run!, ended: true } });
    await page.getByRole('heading', { name: 'The week is over' }).waitFor();
    const rows = page.locator('.report tbody tr');
    await expect.poll(() => rows.first().textContent()).toMatch(/30\smin/);
    await expect.poll(() => rows.nth(1).textContent()).toContain('not seen');
    await page.close();
    await fixture.close();
  });

  it.each(['/training', '/training/rooms'])(
    'that is not open says so on %s and leads to one',
    async (path) => {
      const fixture = await startFixture({ farm: liveAt(fixtureNow, 'quiet') });
      const page = await openPage(browser(), fixture, path);
      await page.getByRole('heading', { name: 'No training run is open.' }).waitFor();
      await page.getByRole('link', { name: 'Choose a week and start one' }).click();
      await page.getByRole('heading', { name: 'Train' }).waitFor();
      await page.getByText('No training run is open.').waitFor();
      await page.getByRole('button', { name: 'Start' }).waitFor();
      expect(complaintsOf(page)).toEqual([]);
      await page.close();
      await fixture.close();
    },
  );

  it('that is ended while its screens are open says so on them', async () => {
    await withFixture('warm', async (fixture) => {
      const pages = await Promise.all(
        ['/training', '/training/rooms', '/train'].map((path) => openPage(browser(), fixture, path)),
      );
      await pages[0]!.locator('.room').first().waitFor();
      await pages[2]!.getByRole('button', { name: 'End the run' }).waitFor();
      fixture.remove('training');
      for (const page of pages) {
        await page.getByText('No training run is open.').waitFor();
        await expect.poll(() => page.locator('.room, .report').count()).toBe(0);
      }
      await pages[2]!.getByRole('button', { name: 'Start' }).waitFor();
      fixture.replace('training', trainingAt(fixtureNow, 'warm'));
      await pages[0]!.locator('.room').first().waitFor();
      for (const page of pages) await page.close();
    });
  });
});

describe('alarms', () => {
  it('are shelved for a time and a reason, and not without one', async () => {
    await withFixture('warm', async (fixture) => {
      const page = await openPage(browser(), fixture, '/alarms');
      await page.getByRole('button', { name: 'Shelve …' }).click();
      await page.getByRole('button', { name: 'Shelve', exact: true }).click();
      await page.getByText('Say why, so that the next person knows.').waitFor();
      expect(fixture.sent).toEqual([]);
      await page.getByRole('radio', { name: '4 hours' }).check();
      await page.locator('#shelve-why').fill('fan is being mended');
      await page.locator('#shelve-who').fill('Tomas');
      await page.getByRole('button', { name: 'Shelve', exact: true }).click();
      await page.getByRole('button', { name: 'Unshelve' }).waitFor();
      expect(fixture.sent[0]?.body).toEqual({
        alarm: 'high/warm-air.temperature',
        act: 'shelve',
        forMinutes: 240,
        oneShot: false,
        why: 'fan is being mended',
        who: 'Tomas',
      });
      await page.close();
    });
  });
});

describe('hot loads', () => {
  it('are asked about as one types, taken apart, and declared by one tap', async () => {
    await withFixture('quiet', async (fixture) => {
      const asked = () => fixture.sent.filter(({ path }) => path.endsWith('/unloads/plan'));
      const told = () => fixture.sent.filter(({ path }) => path.endsWith('/unloads/events'));
      const page = await openPage(browser(), fixture, '/unload', { width: 390, height: 844 });
      await page.getByRole('heading', { name: '24 at once are too many now' }).waitFor();
      // The cooler may have failed: that stands with the verdict, and what to do about it below.
      await page.getByText('An alarm of this room speaks against it.').waitFor();
      await page.getByText(/An alarm stands: Warm room too warm: .* See to it first\./).waitFor();
      await page.getByRole('button', { name: 'How many: one more' }).click();
      await page.getByRole('heading', { name: '25 at once are too many now' }).waitFor();
      expect(asked().at(-1)?.body).toEqual({
        ...{ room: 'warm', at: null, options: { fan: false, extraCoolingW: 0 } },
        load: { container: 'block-2kg', count: 25, startC: null },
      });
      await page.getByRole('button', { name: /Bring in 23 now/ }).click();
      await page.getByRole('heading', { name: 'All 23 may come in now' }).waitFor();
      await page.locator('#plan-count').fill('2000');
      await page.getByText('At most 999 at once: plan more in parts').waitFor();
      await page.getByText('Mend what is marked, and the answer follows.').waitFor();
      await page.locator('#plan-count').fill('8');
      await page.getByRole('button', { name: 'They are in the room now' }).click();
      await expect.poll(() => told().length).toBe(1);
      const { unload } = told()[0]!.body as { unload: string };
      await page.waitForURL(`**/unloads/${unload}`);
      await page.getByRole('heading', { name: 'Underway in the Warm room' }).waitFor();
      expect(told()[0]?.body).toMatchObject({
        ...{ kind: 'begun', room: 'warm', load: { container: 'block-2kg', count: 8, startC: null } },
        who: 'wall screen',
      });

      // It asks at once for the figure: the field has the keyboard.
      await page.getByRole('button', { name: 'Infrared on the surface' }).click();
      await page.getByText('At the side of a middle one').waitFor();
      await betweenFrames(page, async () => {
        await page.getByRole('button', { name: 'Probe in the core' }).click();
        await page.keyboard.type('61,5');
      });
      await page.getByRole('button', { name: 'Save 61.5 °C' }).click();
      await page.getByText('Saved: core measured: 61.5 °C.').waitFor();
      await expect.poll(() => focusOf(page)).toBe('Probe in the core');
      expect(told()[1]?.body).toMatchObject({ kind: 'measured', where: 'core', tempC: 61.5, unload });

      await page.getByRole('button', { name: 'It is over' }).click();
      await expect.poll(() => focusOf(page)).toBe('Yes, it is over');
      await page.getByRole('button', { name: 'No', exact: true }).click();
      await expect.poll(() => focusOf(page)).toBe('It is over');
      await page.keyboard.press('Enter');
      expect(told()).toHaveLength(2);
      await page.getByRole('button', { name: 'Yes, it is over' }).click();
      await expect.poll(() => told()[2]?.body).toMatchObject({ kind: 'ended', because: 'hand', unload });
      // The button goes with what was underway, and its focus to what is left.
      await page.getByRole('button', { name: 'It is over' }).waitFor({ state: 'detached' });
      await expect.poll(() => focusOf(page)).toBe('8 × Block 2 kg, Warm room');
      expect(complaintsOf(page).filter((said) => !said.includes('404'))).toEqual([]);
      await page.close();
    });
  });

  it('that are over are asked for again when what came of them is there', async () => {
    await withFixture('quiet', async (fixture) => {
      const page = await openPage(browser(), fixture, '/unloads/u-past-3');
      await page.getByRole('heading', { name: 'What came of it' }).waitFor();
      const again = page.waitForRequest((request) => request.url().endsWith('/unloads/u-past-3'));
      fixture.change('farm', { now: fixtureNow + 1_000, unloads: { open: [], guesses: [] } });
      await again;
      await page.goto(`${new URL(page.url()).origin}/unload`);
      await page.getByRole('heading', { name: 'Past unloads' }).waitFor();
      const list = page.waitForRequest((request) => request.url().endsWith('/unloads'));
      fixture.change('farm', { now: fixtureNow + 2_000, unloads: { open: [], guesses: [] } });
      await list;
      await page.close();
    });
  });

  it('that nobody declared are answered for where one stands', async () => {
    await withFixture('unload', async (fixture) => {
      const page = await openPage(browser(), fixture, '/rooms', { width: 390, height: 844 });
      await page.getByRole('button', { name: 'Yes, it was' }).click();
      await expect.poll(() => page.locator('select:focus').count()).toBe(1);
      // Leaving the form answers nothing.
      await page.getByRole('button', { name: 'Back to the question' }).click();
      await expect.poll(() => focusOf(page)).toBe('Yes, it was');
      expect(fixture.sent).toEqual([]);
      await page.getByRole('button', { name: 'Yes, it was' }).click();
      await page.getByRole('button', { name: 'How many: one fewer' }).click();
      expect(await violationsOf(page)).toEqual([]);
      await page.getByRole('button', { name: 'Save', exact: true }).first().click();
      await page.getByText('Looks like a hot load').waitFor({ state: 'detached' });
      // What was answered is gone, and the focus with it: on to what is left.
      await expect.poll(() => focusOf(page)).toBe('Rooms and shelves');
      expect(fixture.sent.at(-1)?.body).toMatchObject({
        ...{ kind: 'begun', unload: 'u-guess', t: fixtureNow - 27 * 60_000, room: 'cool' },
        load: { container: 'block-2kg', count: 11, startC: null },
      });
      await page.close();
    });
  });
});

describe('charts', () => {
  it('draw, keep what is chosen in the address, and hand out a table and CSV', async () => {
    await withFixture('quiet', async (fixture) => {
      const page = await openPage(browser(), fixture, '/charts');
      await page.locator('canvas').waitFor();
      await page.getByRole('radio', { name: '10 years' }).check();
      await page
        .getByRole('checkbox', { name: /room humidity/ })
        .first()
        .check();
      await page.waitForFunction(() => location.search.includes('humidity'));
      await page.reload();
      await page.locator('canvas').waitFor();
      await expect.poll(() => page.getByRole('radio', { name: '10 years' }).isChecked()).toBe(true);
      await page.locator('summary').click();
      await expect.poll(() => page.locator('table').count()).toBe(2);
      const [download] = await Promise.all([
        page.waitForEvent('download'),
        page.getByRole('button', { name: 'Save as CSV' }).click(),
      ]);
      expect(download.suggestedFilename()).toBe('readings.csv');
      await page.close();
    });
  });

  it('are walked along by arrow keys', async () => {
    await withFixture('quiet', async (fixture) => {
      const page = await openPage(browser(), fixture, '/charts');
      await page.locator('canvas').waitFor();
      await page.getByRole('slider', { name: 'Move along the chart' }).focus();
      await page.keyboard.press('ArrowLeft');
      await page.locator('.chart-line strong', { hasText: '°C' }).first().waitFor();
      await page.close();
    });
  });
});
