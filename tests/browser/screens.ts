import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll } from 'vitest';
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

/** Opens a path and waits until it shows the farm. */
export async function openPage(
  browser: Browser,
  { url }: { url: string },
  path: string,
  { width = 1920, height = 1080, theme = 'light', cookie }: View = {},
): Promise<Page> {
  const page = await browser.newPage({ viewport: { width, height }, colorScheme: theme });
  page.setDefaultTimeout(90_000);
  if (cookie !== undefined) await page.context().addCookies([{ ...cookie, url }]);
  const said: string[] = [];
  complaints.set(page, said);
  page.on('pageerror', (error) => said.push(error.message));
  page.on('console', (message) => {
    if (message.type() === 'error' || message.type() === 'warning') said.push(message.text());
  });
  await page.goto(url + path);
  await page.locator('h1').first().waitFor();
  return page;
}
