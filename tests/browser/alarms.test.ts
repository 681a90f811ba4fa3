import type { Page } from 'playwright-core';
import { describe, expect, it } from 'vitest';
import type { AlarmView } from '../../shared/alarms.ts';
import { fixtureNow, warmAlarm } from './fixture/live.ts';
import { focusOf, newPage, openPage, settled, useBrowser, withFixture } from './screens.ts';
import { violationsOf } from './violations.ts';

const browser = useBrowser();
const alarmPath = `/alarms/one?id=${encodeURIComponent(warmAlarm(fixtureNow).id)}`;

/** Stands in for loudspeaker and voice: a page may be heard once somebody touched it, and all is noted. */
function fakeLoudspeaker(): void {
  const heard = { pulses: 0, said: [] as string[] };
  const node = () => ({
    connect: (to: unknown) => to,
    frequency: {},
    start: () => heard.pulses++,
    stop() {},
  });
  const gain = () => ({
    connect: (to: unknown) => to,
    gain: { setValueAtTime() {}, linearRampToValueAtTime() {} },
  });
  Object.assign(window, {
    heard,
    AudioContext: class {
      state = 'suspended';
      currentTime = 0;
      destination = {};
      onstatechange = () => {};
      createOscillator = node;
      createGain = gain;
      async resume() {
        this.state = 'running';
        this.onstatechange();
      }
    },
    SpeechSynthesisUtterance: class {
      text: string;
      constructor(text: string) {
        this.text = text;
      }
    },
  });
  Object.defineProperty(window, 'speechSynthesis', {
    value: { cancel() {}, speak: ({ text }: { text: string }) => heard.said.push(text) },
  });
}
const heardOn = (page: Page) =>
  page.evaluate(() => (window as unknown as { heard: { pulses: number; said: string[] } }).heard);

const shown = async (change: Partial<AlarmView>, use: (page: Page) => Promise<void>) =>
  withFixture('warm', async (fixture) => {
    fixture.change('farm', { now: fixtureNow, alarms: [{ ...warmAlarm(fixtureNow), ...change }] });
    const page = await openPage(browser(), fixture, '/');
    await page.locator('.band').waitFor();
    await use(page);
    await page.close();
  });

describe('an alarm on the wall', () => {
  it.each([
    [{ state: 'unacknowledged' }, '.band-filled', 'Acknowledge'],
    [{ state: 'acknowledged', ringing: false }, '.band-outline:not(.band-latched)', 'acknowledged'],
    [
      { state: 'returned-unacknowledged', conditionHolds: false },
      '.band-hatched:not(.band-latched)',
      'Acknowledge',
    ],
    [{ state: 'latched-unacknowledged', conditionHolds: false }, '.band-hatched.band-latched', 'Acknowledge'],
    [
      { state: 'latched-acknowledged', ringing: false, conditionHolds: false },
      '.band-outline.band-latched',
      'latched: reset once put right',
    ],
  ] as const)('looks its state and says it: %j', async (change, look, word) => {
    await shown(change, async (page) => {
      await expect.poll(() => page.locator(look).count()).toBe(1);
      await expect.poll(() => page.locator('.band').textContent()).toContain(word);
      await expect.poll(() => page.locator('.band-advice').textContent()).toContain("Check the cooler's fan");
    });
  });

  it('that is shelved is counted, with when it comes back', async () => {
    await withFixture('quiet', async (fixture) => {
      const alarm = { ...warmAlarm(fixtureNow), state: 'shelved' as const, ringing: false };
      const shelvedUntil = fixtureNow + 3_600_000;
      fixture.change('farm', { now: fixtureNow, alarms: [{ ...alarm, shelvedUntil }] });
      const page = await openPage(browser(), fixture, '/');
      await expect.poll(() => page.locator('.wall-held').textContent()).toBe('1 shelved until 15:32');
      expect(await page.locator('.band').count()).toBe(0);
      await page.close();
    });
  });

  it('whose messages do not arrive says so', async () => {
    await shown({ delivery: { waiting: 0, sent: 1, failed: 1 } }, async (page) => {
      await page.locator('.band-trouble', { hasText: '1 message NOT delivered' }).waitFor();
    });
    await shown({ delivery: { waiting: 2, sent: 0, failed: 0 } }, async (page) => {
      await page.locator('.band-trouble', { hasText: '2 messages wait to go out' }).waitFor();
    });
  });
});

describe('the wall’s voice', () => {
  it('says that it wants a tap, and then sounds and speaks until somebody acknowledges', async () => {
    await withFixture('warm', async (fixture) => {
      const page = await newPage(browser());
      await page.clock.install({ time: fixtureNow });
      await page.addInitScript(fakeLoudspeaker);
      await page.goto(fixture.url);
      const allow = page.getByRole('button', { name: 'Tap once to allow sound' });
      await allow.waitFor();
      expect((await heardOn(page)).pulses).toBe(0);
      await allow.click();
      await allow.waitFor({ state: 'detached' });
      await expect.poll(async () => (await heardOn(page)).pulses).toBeGreaterThanOrEqual(3);
      await expect
        .poll(async () => (await heardOn(page)).said[0])
        .toBe(
          "Warm room too warm: 29.6\u00a0°C, limit\u00a028. Check the cooler's fan, open the hall door. Harm in about 50\u00a0min.",
        );
      await page.keyboard.press('Tab');
      await page.locator('.band-button').click();
      await page.locator('.band-outline').waitFor();
      const { pulses } = await heardOn(page);
      await page.clock.runFor(20_000);
      expect((await heardOn(page)).pulses).toBe(pulses);
      await page.close();
    });
  });
});

describe('the page of an alarm', () => {
  it('is reached from the wall, and shows curve, rule, bags, messages and journal', async () => {
    await withFixture('warm', async (fixture) => {
      const page = await openPage(browser(), fixture, '/');
      await page.locator('.band-title a').click();
      await page.locator('.alarm-page canvas').waitFor();
      for (const part of ['above 28 °C', 'NOT delivered', '550 no such mailbox', 'K701', 'Passes the limit'])
        await page.locator('.alarm-page', { hasText: part }).waitFor();
      await page.close();
    });
  });

  it('acknowledges and shelves by keyboard alone, for no longer than the cap', async () => {
    await withFixture('warm', async (fixture) => {
      const page = await openPage(browser(), fixture, alarmPath);
      await page.getByRole('button', { name: 'Shelve …' }).focus();
      await page.keyboard.press('Enter');
      const dialog = page.getByRole('dialog');
      await dialog.waitFor();
      await dialog.getByText('at most 4 h').waitFor();
      expect(await dialog.getByText('8 hours').count()).toBe(0);
      await page.keyboard.press('Enter');
      await dialog.getByText('Say why').waitFor();
      fixture.change('farm', {
        now: fixtureNow,
        alarms: [{ ...warmAlarm(fixtureNow), title: 'Warm room too warm: 29.9 °C, limit 28' }],
      });
      await dialog.getByText('29.9 °C').waitFor();
      await settled(page);
      // The alarm moved on; what is wrong here is still said.
      expect(await dialog.getByText('Say why').count()).toBe(1);
      await dialog.getByLabel('Why').focus();
      await page.keyboard.type('fan is being mended');
      await page.keyboard.press('Enter');
      await dialog.waitFor({ state: 'hidden' });
      expect(fixture.sent.at(-1)?.body).toMatchObject({ act: 'shelve', forMinutes: 60, oneShot: false });
      await page.close();
    });
  });
});

describe('the journal', () => {
  it('asks for what was chosen, keeps it in the address, and offers the same as CSV', async () => {
    await withFixture('troubled', async (fixture) => {
      const page = await openPage(browser(), fixture, '/alarms/journal');
      await page.getByLabel('Where').selectOption({ label: 'Warm room' });
      await page.getByLabel('Went to').selectOption('shelved');
      await page.getByLabel('How urgent').selectOption('2');
      await page.getByLabel('Who').fill('Ida');
      await page.keyboard.press('Tab');
      await expect.poll(() => fixture.asked.at(-1)).toContain('who=Ida');
      const asked = new URLSearchParams(fixture.asked.at(-1));
      expect(Object.fromEntries(asked)).toEqual({
        ...{ limit: '100', place: 'warm', state: 'shelved', priority: '2', who: 'Ida' },
      });
      await expect.poll(() => new URL(page.url()).searchParams.get('place')).toBe('warm');
      await expect
        .poll(() => page.getByRole('link', { name: 'Save as CSV' }).getAttribute('href'))
        .toContain('/alarms/journal.csv?place=warm&state=shelved&who=Ida&priority=2');
      await page.close();
    });
  });
});

describe('limits', () => {
  it('are tried on the past, seen as a picture and in words, and saved', async () => {
    await withFixture('quiet', async (fixture) => {
      const page = await openPage(browser(), fixture, '/alarms/limits#warm.temperature');
      await page.getByLabel('Too high °C', { exact: true }).first().fill('27');
      await page.getByLabel('Rings after s').fill('120');
      await page.getByRole('button', { name: 'Try on the past' }).click();
      await page.locator('.back-test canvas').waitFor();
      expect(fixture.sent.at(-1)?.body).toMatchObject({
        ...{ at: 'warm', measure: 'temperature', set: { high: 27, onDelayS: 120 } },
      });
      for (const part of ['28 min sooner', 'new', '1.4 K·h'])
        await page.locator('.back-test', { hasText: part }).waitFor();
      await page.getByRole('button', { name: 'Save', exact: true }).click();
      await page.getByText('Saved in the farm file.').waitFor();
      expect(fixture.sent.at(-1)?.body).toMatchObject({ version: 'first', who: 'wall screen' });
      await page.close();
    });
  });

  it('that another changed meanwhile are not overwritten, and what was typed stays', async () => {
    await withFixture('quiet', async (fixture) => {
      const page = await openPage(browser(), fixture, '/alarms/limits#warm.temperature');
      const high = page.getByLabel('Too high °C', { exact: true }).first();
      await high.fill('27');
      fixture.changeLimit(26);
      await page.getByRole('button', { name: 'Save', exact: true }).click();
      await page.getByText('Nothing was written').waitFor();
      await expect.poll(() => high.inputValue()).toBe('27');
      await page.close();
    });
  });

  it('are given for times of day, with when they ring again and how long they may be shelved', async () => {
    await withFixture('quiet', async (fixture) => {
      const page = await openPage(browser(), fixture, '/alarms/limits#warm.temperature');
      const first = page.getByRole('group', { name: 'Time of day 1' });
      await expect.poll(() => first.getByLabel('From').inputValue()).toBe('13:00');
      await first.getByLabel('Too high °C', { exact: true }).fill('34');
      await page.getByRole('button', { name: 'Add a time of day' }).click();
      const second = page.getByRole('group', { name: 'Time of day 2' });
      await second.getByLabel('Sat').check();
      await page.getByRole('button', { name: 'Save', exact: true }).click();
      // What is wrong is told with the field, and with no other.
      const told = page.locator('.limit-editor [aria-describedby]');
      await expect.poll(() => told.evaluateAll((all) => all.map(({ id }) => id))).toHaveLength(1);
      const problem = page.locator(
        `[id="${await second.getByLabel('From').getAttribute('aria-describedby')}"]`,
      );
      await expect.poll(() => problem.textContent()).toContain('Time of day 2: give when it begins');
      await second.getByLabel('From').fill('6:00');
      await second.getByLabel('Until').fill('12:00');
      await second.getByLabel('Too low', { exact: false }).first().fill('18');
      const add = page.getByRole('button', { name: 'Add a time of day' });
      await add.click();
      // The focus stays by what is left: after the last there is what adds one.
      await page.getByRole('button', { name: 'Remove this time of day 3' }).press('Enter');
      await expect.poll(() => focusOf(page)).toBe('Add a time of day');
      await page.getByLabel('never rings again').check();
      await page.getByLabel('Shelved for at most').fill('90');
      await page.getByRole('button', { name: 'Save', exact: true }).click();
      await page.getByText('Saved in the farm file.').waitFor();
      expect(fixture.sent.at(-1)?.body).toMatchObject({
        set: {
          ...{ reAlarmMin: false, shelveCapMin: 90 },
          during: [
            { days: ['tue', 'fri'], from: '13:00', to: '17:00', high: 34 },
            { days: ['sat'], from: '06:00', to: '12:00', low: 18 },
          ],
        },
      });
      await page.close();
    });
  });

  it('of shelves that go by their room stand in a list that opens, each with its room’s numbers', async () => {
    await withFixture('quiet', async (fixture) => {
      const page = await openPage(browser(), fixture, '/alarms/limits');
      const list = page.locator('details', { hasText: 'Shelves that go by their room' });
      await list.locator('summary').click();
      await list.getByRole('button', { name: 'Change … Shelf A2, temperature' }).click();
      const high = list.getByLabel('Too high °C', { exact: true }).first();
      await expect.poll(() => high.getAttribute('placeholder')).toBe('28');
      await expect.poll(() => high.inputValue()).toBe('');
      await list.getByText('As its room has them: Tue, Fri 13:00–17:00, too high 33').waitFor();
      await list.getByRole('button', { name: 'Give it its own' }).click();
      await expect.poll(() => list.getByLabel('Until').inputValue()).toBe('17:00');
      await high.fill('26');
      await list.getByRole('button', { name: 'Save', exact: true }).click();
      await list.getByText('Saved in the farm file.').waitFor();
      expect(fixture.sent.at(-1)?.body).toMatchObject({ at: 'A2', set: { high: 26 } });
      // Closing what was changed leaves the list as it is.
      await list.getByRole('button', { name: 'Close Shelf A2, temperature' }).click();
      await list.locator('form').waitFor({ state: 'detached' });
      await list.getByRole('button', { name: 'Change … Shelf A2, temperature' }).waitFor();
      await page.close();
    });
  });

  it('on computed cores can be tried on the past as any', async () => {
    await withFixture('quiet', async (fixture) => {
      const page = await openPage(browser(), fixture, '/alarms/limits#warm.core');
      const form = page.locator('details', { hasText: 'Measured, with no limit yet' }).locator('form');
      await form.getByRole('button', { name: 'Try on the past' }).waitFor();
      expect(await violationsOf(page)).toEqual([]);
      await page.close();
    });
  });

  it('that are no number are refused before anything is sent', async () => {
    await withFixture('quiet', async (fixture) => {
      const page = await openPage(browser(), fixture, '/alarms/limits#warm.temperature');
      await page.getByLabel('Deadband °C').fill('wide');
      await page.getByRole('button', { name: 'Try on the past' }).click();
      await page.getByText('Deadband: give a number').waitFor();
      expect(fixture.sent).toEqual([]);
      await page.close();
    });
  });
});

describe('the page behind a link of a message', () => {
  it('asks for a tap, takes it by keyboard, and has no violation before and after', async () => {
    await withFixture('troubled', async (fixture) => {
      const page = await openPage(browser(), fixture, '/acknowledge/good-link', { width: 390, height: 844 });
      const button = page.getByRole('button', { name: 'Acknowledge' });
      await button.waitFor();
      expect(await violationsOf(page)).toEqual([]);
      // Opening it, as a mail scanner does, sends nothing.
      expect(fixture.sent).toEqual([]);
      for (
        let press = 0;
        press < 10 && !(await button.evaluate((one) => one === document.activeElement));
        press += 1
      )
        await page.keyboard.press('Tab');
      expect((await button.boundingBox())!.height).toBeGreaterThanOrEqual(43.5);
      await page.keyboard.press('Enter');
      await page.getByText('Acknowledged. The alarm stays in view').waitFor();
      expect(fixture.sent).toEqual([{ path: '/api/acknowledge/good-link', body: {} }]);
      expect(await violationsOf(page)).toEqual([]);
      await page.close();
    });
  });

  it('says why a link that was used is of no more use', async () => {
    await withFixture('troubled', async (fixture) => {
      const page = await openPage(browser(), fixture, '/acknowledge/used-link');
      await page.getByText('This link was used already').waitFor();
      expect(await page.getByRole('button', { name: 'Acknowledge' }).count()).toBe(0);
      await page.close();
    });
  });
});

describe.each([
  ['/alarms', '.alarm'],
  [alarmPath, '.alarm-page canvas'],
  ['/alarms/journal', '.journal td'],
  ['/alarms/how-often', '.rates'],
  ['/alarms/limits#warm.temperature', '.limit-editor'],
] as const)('%s on a phone', (path, whole) => {
  it('stands in one column, with targets of 44 px', async () => {
    await withFixture('troubled', async (fixture) => {
      const page = await openPage(browser(), fixture, path, { width: 390, height: 844 });
      await page.locator(whole).first().waitFor();
      const found = await page.evaluate(() => ({
        wide: document.documentElement.scrollWidth,
        small: [
          ...document.querySelectorAll<HTMLElement>('main button, main select, main input, main a.button'),
        ]
          .filter((one) => one.getBoundingClientRect().height > 2)
          .filter((one) => !one.matches('[type="radio"], [type="checkbox"], [type="range"]'))
          .filter((one) => one.getBoundingClientRect().height < 43.9)
          .map((one) => one.outerHTML.slice(0, 80)),
      }));
      expect(found).toEqual({ wide: 390, small: [] });
      await page.close();
    });
  });
});
