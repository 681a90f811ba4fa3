import { readdirSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { gzipSync } from 'node:zlib';
import type { Page } from 'playwright-core';
import { describe, expect, it } from 'vitest';
import type { LiveState } from '../../shared/live.ts';
import { hourMs } from '../../shared/time.ts';
import { fixtureNow, liveAt, warmAlarm } from './fixture/live.ts';
import type { Fixture } from './fixture/server.ts';
import { newPage, openPage, settled, trainingAt, useBrowser, withFixture } from './screens.ts';

const browser = useBrowser();
const assets = fileURLToPath(new URL('../../dist/web/assets', import.meta.url));

/** The wall as it is until somebody taps it: it asks to be heard, which takes room in its head. */
async function openUnheard(fixture: Fixture, path = '/'): Promise<Page> {
  const page = await newPage(browser());
  await page.addInitScript(() => {
    class Unheard {
      state = 'suspended';
      async resume() {}
    }
    Object.assign(window, { AudioContext: Unheard });
  });
  await page.goto(fixture.url + path);
  await page.getByRole('button', { name: 'Tap once to allow sound' }).waitFor();
  await settled(page);
  return page;
}

/** Every text seen, with its size in pixels of the screen; text in drawings by how large it is drawn. */
const textsOf = (page: Page) =>
  page.evaluate(() => {
    const texts: { text: string; px: number; cls: string }[] = [];
    const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    for (let node = walker.nextNode(); node !== null; node = walker.nextNode()) {
      const element = node.parentElement!;
      const text = node.textContent!.trim();
      if (text === '' || element.closest('.unseen, .navigation, noscript, title, script') !== null) continue;
      const size = Number.parseFloat(getComputedStyle(element).fontSize);
      const drawn = element.closest('svg');
      const scale = drawn === null ? 1 : drawn.getBoundingClientRect().width / drawn.viewBox.baseVal.width;
      texts.push({ text, px: size * scale, cls: element.className.toString() });
    }
    return texts;
  });

/** Parts whose content is larger than the part: cut off, or overlapping what is below. */
const cutOff = (page: Page) =>
  page.evaluate(() =>
    ['.wall', '.room', '.today', '.band'].flatMap((name) =>
      [...document.querySelectorAll<HTMLElement>(name)]
        .filter(
          (part) => part.scrollHeight > part.clientHeight + 2 || part.scrollWidth > part.clientWidth + 2,
        )
        .map(
          (part) =>
            `${name}: ${part.scrollWidth}x${part.scrollHeight} in ${part.clientWidth}x${part.clientHeight}`,
        ),
    ),
  );

describe('the wall at 1920 x 1080', () => {
  it.each(['quiet', 'warm', 'troubled', 'unload'] as const)('has no text below 36 px, %s', async (mood) => {
    await withFixture(mood, async (fixture) => {
      const page = await openPage(browser(), fixture, '/');
      const texts = await textsOf(page);
      expect(texts.length).toBeGreaterThan(20);
      expect(texts.filter(({ px }) => px < 35.9)).toEqual([]);
      await page.close();
    });
  });

  it.each([
    ['warm', '.next-day strong'],
    ['troubled', '.unload-block strong'],
  ] as const)('has what must be read at 4 m at 67 px or more, %s', async (mood, last) => {
    await withFixture(mood, async (fixture) => {
      const page = await openPage(browser(), fixture, '/');
      for (const name of ['.value-number', '.task-count', '.band-title', last, '.wall-clock']) {
        const sizes = await page
          .locator(name)
          .evaluateAll((found) => found.map((one) => Number.parseFloat(getComputedStyle(one).fontSize)));
        expect(sizes.length, name).toBeGreaterThan(0);
        expect(Math.min(...sizes), name).toBeGreaterThanOrEqual(66.9);
      }
      await page.close();
    });
  });

  it.each(['quiet', 'warm', 'troubled', 'unload', 'empty'] as const)('cuts nothing off, %s', async (mood) => {
    await withFixture(mood, async (fixture) => {
      const page = await openUnheard(fixture);
      expect(await cutOff(page)).toEqual([]);
      await page.close();
    });
  });

  it('cuts nothing off under the longest alarm, with no contact besides', async () => {
    await withFixture('warm', async (fixture) => {
      const long = {
        ...warmAlarm(fixtureNow),
        title: 'Warm room, shelf B1 too warm: 31.0 °C, limit 28',
        advice:
          'Look at the thermostat and the cooler; if it does not cool, prop the corridor door and thin out the top shelves.',
      };
      fixture.change('farm', { now: fixtureNow, alarms: [long, { ...long, id: 'another' }] });
      const page = await openUnheard(fixture);
      await page.getByText('shelf B1 too warm').waitFor();
      expect(await cutOff(page)).toEqual([]);
      await fixture.goAway();
      await page.getByText(/No contact since/).waitFor();
      expect(await cutOff(page)).toEqual([]);
      await page.close();
    });
  });

  it('counts a hot load down, also beside an alarm, and asks about one that nobody declared', async () => {
    await withFixture('unload', async (fixture) => {
      const page = await openUnheard(fixture);
      const count = page.locator('.unload-block strong');
      await expect.poll(() => count.textContent()).toMatch(/^5\sh 3[56]\smin$/);
      await page.getByText('Looks like a hot load at 14:05 in the Cool room: was it?').waitFor();
      fixture.change('farm', { now: fixtureNow, alarms: [warmAlarm(fixtureNow)] });
      await page.getByText('Hot load at 14:05?').waitFor();
      await count.waitFor();
      expect(await cutOff(page)).toEqual([]);
      await page.close();
    });
  });

  it('keeps its clock in sight in training too, and says what burns while little else is to be done', async () => {
    await withFixture('unload', async (fixture) => {
      const { unloads } = liveAt(fixtureNow, 'unload');
      const guesses = unloads.guesses.map((guess) => ({ ...guess, at: guess.at - 20 * hourMs }));
      const alarms = [warmAlarm(fixtureNow)];
      const forecasts: LiveState['forecasts'] = [];
      fixture.replace('training', {
        ...trainingAt(fixtureNow, 'unload'),
        ...{ alarms, forecasts, unloads: { ...unloads, guesses } },
      });
      const page = await openUnheard(fixture, '/training');
      await page.getByText('Hot load at 18:05?').waitFor();
      await page.locator('.unload-block').getByText('gloves').waitFor();
      expect(await cutOff(page)).toEqual([]);
      // The frame of training is 12 px wide.
      const { x, width } = (await page.locator('.wall-clock').boundingBox())!;
      expect(x + width).toBeLessThanOrEqual(1908);
      await page.close();
    });
  });

  it('of the demo says that nobody signs in', async () => {
    await withFixture('quiet', async (fixture) => {
      const page = await openPage(browser(), fixture, '/');
      await page.getByText('demo: nobody signs in').waitFor();
      await page.close();
    });
  });

  it('shows the highest alarm first and how many more there are', async () => {
    await withFixture('troubled', async (fixture) => {
      const page = await openPage(browser(), fixture, '/');
      await page.locator('.band-title', { hasText: 'Warm room too warm' }).waitFor();
      await expect.poll(() => page.locator('.band-more').textContent()).toBe('and 2 more, 1 shelved');
      await page.close();
    });
  });

  it.each([' ', 'Enter'])(
    'acknowledges the top alarm by the key %j, without a hand on the mouse',
    async (key) => {
      await withFixture('warm', async (fixture) => {
        const page = await openPage(browser(), fixture, '/');
        await page.keyboard.press(key);
        await page.locator('.band-outline').waitFor();
        expect(fixture.sent).toEqual([
          {
            path: '/api/sites/farm/alarms/act',
            body: { alarm: warmAlarm(fixtureNow).id, act: 'acknowledge', who: 'wall screen' },
          },
        ]);
        await page.close();
      });
    },
  );

  it('leaves other keys alone', async () => {
    await withFixture('warm', async (fixture) => {
      const page = await openPage(browser(), fixture, '/');
      for (const key of ['a', 'Shift', 'Enter']) await page.keyboard.press(key);
      await page.locator('.band-outline').waitFor();
      // Of the three the last alone.
      expect(fixture.sent).toHaveLength(1);
      await page.close();
    });
  });

  it('shows a new reading as it comes, and rings in the title', async () => {
    await withFixture('quiet', async (fixture) => {
      const page = await openPage(browser(), fixture, '/');
      const value = {
        t: fixtureNow + 1_000,
        value: 26.7,
        quality: 'good',
        trendPerH: 1,
        silent: false,
      } as const;
      fixture.change('farm', {
        now: fixtureNow + 1_000,
        channels: { 'warm-air.temperature': value },
        alarms: [warmAlarm(fixtureNow)],
      });
      await page.getByText('26.7').waitFor();
      await expect.poll(() => page.title()).toMatch(/^! Warm room too warm/);
      await page.close();
    });
  });

  it('shows more rooms than fit on pages, the one in alarm on all of them', async () => {
    const live = liveAt(fixtureNow, 'warm');
    const more = ['third', 'fourth', 'fifth'].map((id) => ({
      ...live.farm.rooms[1]!,
      id,
      name: `The ${id}`,
      racks: [],
    }));
    await withFixture('warm', async (fixture) => {
      fixture.replace('farm', { ...live, farm: { ...live.farm, rooms: [...live.farm.rooms, ...more] } });
      const page = await openPage(browser(), fixture, '/');
      await page.locator('.wall-pages').waitFor();
      await expect.poll(() => page.locator('.room').count()).toBe(2);
      await expect.poll(() => page.locator('.room-name').allTextContents()).toContain('Warm room1');
      await page.close();
    });
  });
});

describe('the wall on a phone', () => {
  it('stands in one column without scrolling sideways, and cuts no advice off', async () => {
    await withFixture('troubled', async (fixture) => {
      const page = await openPage(browser(), fixture, '/', { width: 390, height: 844 });
      const wide = await page.evaluate(() => document.documentElement.scrollWidth);
      expect(wide).toBeLessThanOrEqual(390);
      const heights = await page
        .locator('.band-advice')
        .evaluateAll((all) => all.map((one) => [one.clientHeight, one.scrollHeight]));
      expect(heights).not.toEqual([]);
      // A fraction of a line may be rounded either way.
      for (const [shown, needed] of heights) expect(shown! + 2).toBeGreaterThanOrEqual(needed!);
      await page.close();
    });
  });
});

describe('what the wall weighs', () => {
  it('is at most 80 kB of JavaScript, gzipped, in all that it loads', async () => {
    await withFixture('warm', async (fixture) => {
      const page = await browser().newPage();
      const loaded = new Set<string>();
      page.on('response', (response) => {
        const file = new URL(response.url()).pathname.split('/').at(-1)!;
        if (file.endsWith('.js')) loaded.add(file);
      });
      await page.goto(fixture.url);
      await page.locator('.room').first().waitFor();
      const bytes = [...loaded].reduce(
        (sum, file) => sum + gzipSync(readFileSync(`${assets}/${file}`)).length,
        0,
      );
      expect(loaded.size).toBeGreaterThan(0);
      expect(bytes).toBeLessThanOrEqual(80_000);
      await page.close();
    });
  });

  it('and no schema library is in any screen', () => {
    const scripts = readdirSync(assets).filter((file) => file.endsWith('.js'));
    expect(scripts.length).toBeGreaterThan(3);
    for (const file of scripts) expect(readFileSync(`${assets}/${file}`, 'utf8')).not.toContain('ZodError');
  });

  it('is drawn for so little work that a processor four times slower needs less than 1 s', async () => {
    await withFixture('warm', async (fixture) => {
      const costs: number[] = [];
      for (let round = 0; round < 3; round += 1) {
        const context = await browser().newContext({ viewport: { width: 1920, height: 1080 } });
        const page = await context.newPage();
        const devtools = await context.newCDPSession(page);
        // Processor time of the page's thread, not time on the clock: other work on this machine adds nothing.
        await devtools.send('Performance.enable', { timeDomain: 'threadTicks' });
        await page.goto(fixture.url, { waitUntil: 'commit' });
        await page.locator('.rack .mycelium').first().waitFor();
        await page.evaluate(
          () => new Promise<void>((done) => requestAnimationFrame(() => requestAnimationFrame(() => done()))),
        );
        const { metrics } = await devtools.send('Performance.getMetrics');
        const seconds = (name: string) => metrics.find((metric) => metric.name === name)?.value ?? Number.NaN;
        costs.push(1_000 * (seconds('TaskDuration') - seconds('DevToolsCommandDuration')));
        await context.close();
      }
      expect(4 * Math.min(...costs)).toBeLessThan(1_000);
    });
  });
});
