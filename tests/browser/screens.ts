import type { Browser, Page, Request } from 'playwright-core';
import { afterAll, beforeAll, expect } from 'vitest';
import type { LiveState } from '../../shared/live.ts';
import { dayMs } from '../../shared/time.ts';
import { openChromium } from '../tools/chromium.ts';
import { fixtureNow, liveAt, type Mood } from './fixture/live.ts';
import { type Fixture, type FixtureOptions, startFixture } from './fixture/server.ts';

interface View {
  width?: number;
  height?: number;
  theme?: 'light' | 'dark';
  /** Of whoever has signed in on this browser. */
  cookie?: { name: string; value: string };
}

/** What a page said on its console that it should not have: errors, refused by the policy, uncaught. */
const complaints = new WeakMap<Page, string[]>();
export const complaintsOf = (page: Page): string[] => complaints.get(page) ?? [];

export const trainingAt = (now: number, mood: Mood): LiveState => ({
  ...liveAt(now, mood),
  kind: 'training',
  run: {
    week: 'quiet',
    speed: 60,
    paused: true,
    startedAt: now - dayMs,
    endsAt: now + 6 * dayMs,
    ended: false,
  },
});

/** One browser for a test file. */
export function useBrowser(): () => Browser {
  let browser: Browser | undefined;
  beforeAll(async () => {
    browser = await openChromium();
  });
  afterAll(() => browser?.close());
  return () => browser!;
}

/** A fixture in a mood, with a training run beside it. Both are gone when `use` is done. */
export async function withFixture(
  mood: Mood,
  use: (fixture: Fixture) => Promise<void>,
  options?: FixtureOptions,
): Promise<void> {
  const fixture = await startFixture(
    { farm: liveAt(fixtureNow, mood), training: trainingAt(fixtureNow, mood) },
    options,
  );
  try {
    await use(fixture);
  } finally {
    await fixture.close();
  }
}

/** How many times slower than on this machine pages run: finds what reads or acts before a page is ready. */
const slowdown = Number(process.env.SHELFWARDEN_BROWSER_SLOWDOWN ?? 1);
const slowAnswerMs = 20;

/** What a page has asked for and not got yet, and how often it asked. */
interface Traffic {
  underWay: Set<Request>;
  begun: number;
}
const traffic = new WeakMap<Page, Traffic>();

/** A patient page with no cookie of another, slowed as the environment says. */
export async function newPage(
  browser: Browser,
  { width = 1920, height = 1080, theme = 'light' }: Omit<View, 'cookie'> = {},
): Promise<Page> {
  const page = await browser.newPage({ viewport: { width, height }, colorScheme: theme });
  page.setDefaultTimeout(90_000);
  const its: Traffic = { underWay: new Set(), begun: 0 };
  traffic.set(page, its);
  page.on('request', (request) => {
    // The stream of live values never ends.
    if (request.resourceType() === 'eventsource') return;
    its.underWay.add(request);
    its.begun += 1;
  });
  for (const over of ['requestfinished', 'requestfailed'] as const)
    page.on(over as 'requestfinished', (request) => its.underWay.delete(request));
  if (slowdown > 1) await slow(page);
  return page;
}

async function slow(page: Page): Promise<void> {
  const devtools = await page.context().newCDPSession(page);
  await devtools.send('Emulation.setCPUThrottlingRate', { rate: slowdown });
  await devtools.send('Network.enable');
  const unbounded = { downloadThroughput: -1, uploadThroughput: -1 };
  const latency = slowAnswerMs * slowdown;
  await devtools.send('Network.emulateNetworkConditions', { offline: false, latency, ...unbounded });
}

/** What has the keyboard's focus, by its text or else its tag. */
export const focusOf = (page: Page): Promise<string> =>
  page.evaluate(() => document.activeElement?.textContent?.trim() || document.activeElement?.tagName || '');

/** Waits until a page has all it asked for, its fonts too, and drawing that made it ask for nothing more. */
export async function settled(page: Page): Promise<void> {
  const its = traffic.get(page)!;
  for (let begun = -1; begun !== its.begun; ) {
    begun = its.begun;
    await expect.poll(() => its.underWay.size).toBe(0);
    await page.evaluate(async () => {
      await document.fonts.ready;
      for (let frame = 0; frame < 3; frame += 1)
        await new Promise((drawn) => requestAnimationFrame(() => setTimeout(drawn)));
    });
  }
}

/**
 * Does something on a page that draws no frame meanwhile, as on a machine that has no time for it: whatever
 * begins to listen only after the next frame hears nothing of it.
 */
export async function betweenFrames(page: Page, act: () => Promise<unknown>): Promise<void> {
  const now = Date.now();
  await page.clock.install({ time: now });
  // Less than the page waits for a sign of life.
  await page.clock.pauseAt(now + 6_000);
  await act();
  await page.clock.resume();
}

/** Opens a path and waits until it shows the farm, wholly. */
export async function openPage(
  browser: Browser,
  { url }: { url: string },
  path: string,
  { cookie, ...view }: View = {},
): Promise<Page> {
  const page = await newPage(browser, view);
  if (cookie !== undefined) await page.context().addCookies([{ ...cookie, url }]);
  const said: string[] = [];
  complaints.set(page, said);
  page.on('pageerror', (error) => said.push(error.message));
  page.on('console', (message) => {
    if (message.type() === 'error' || message.type() === 'warning') said.push(message.text());
  });
  await page.goto(url + path);
  await page.locator('h1').first().waitFor();
  await settled(page);
  return page;
}
