import mqtt from 'mqtt';
import type { Browser, Page } from 'playwright-core';
import { systemClock as clock } from '../../collector/system-clock.ts';

/** Fifty numbers within the limits of the warm room, each far enough from the one before to be seen. */
export const numbers = Array.from({ length: 50 }, (_, at) => (22 + ((at * 17) % 50) / 10).toFixed(1));

/** A page that shows a number, and the topic that moves it. */
export interface Contender {
  page: Page;
  publish(number: string): void;
  /** The element that holds the number. */
  selector: string;
  /** Told, ms of `performance.now`, when a frame with a new number has been painted. */
  onShown: (number: string, at: number) => void;
  close(): Promise<unknown>;
}

/** Where a page is, and what its number comes from. */
interface Source {
  url: string;
  brokerUrl: string;
  topic: string;
  /** The element that holds the number. */
  selector: string;
  /** What the sensor connects with, and whoever looks at the page has signed in as. */
  device?: { username: string; password: string };
  cookie?: string;
}

/**
 * Tells of each new text after the frame that shows it: a task posted in a frame's callback runs once the
 * frame is painted.
 */
const watchNumber = `(selector) => {
  let last;
  const look = () => {
    const text = document.querySelector(selector)?.textContent?.trim();
    if (text === undefined || text === last) return;
    last = text;
    requestAnimationFrame(() => {
      const channel = new MessageChannel();
      channel.port1.onmessage = () => tellShown(text);
      channel.port2.postMessage(null);
    });
  };
  new MutationObserver(look).observe(document, { subtree: true, childList: true, characterData: true });
  look();
}`;

export async function openContender(browser: Browser, from: Source): Promise<Contender> {
  const sensor = await mqtt.connectAsync(from.brokerUrl, { protocolVersion: 4, ...from.device });
  const page = await browser.newPage({ viewport: { width: 1920, height: 1080 } });
  const [name, value] = from.cookie?.split('=') ?? [];
  if (name !== undefined && value !== undefined)
    await page.context().addCookies([{ name, value, url: from.url }]);
  const contender: Contender = {
    page,
    selector: from.selector,
    publish(number) {
      const values = { temperature: Number(number), humidity: 55 };
      sensor.publish(from.topic, JSON.stringify({ at: clock.now(), air: values, battery: 90 }), { qos: 1 });
    },
    onShown: () => {},
    async close() {
      await page.close();
      await sensor.endAsync(true);
    },
  };
  await page.exposeFunction('tellShown', (number: string) => contender.onShown(number, performance.now()));
  // A farm of its own has no reading yet.
  contender.publish(numbers[0]!);
  await page.goto(from.url);
  await page.locator(from.selector).waitFor({ state: 'attached' });
  await page.evaluate(`(${watchNumber})(${JSON.stringify(from.selector)})`);
  return contender;
}

/**
 * Publishes `count` readings at instants that nothing on the way can delay, and times each until its number,
 * or that of a later reading, was painted.
 */
export async function timeReadings(
  contender: Contender,
  count: number,
  pauseMs: () => number,
): Promise<number[]> {
  const waiting: { number: string; at: number }[] = [];
  const times: number[] = [];
  let wake = (): void => {};
  contender.onShown = (number, at) => {
    const found = waiting.findLastIndex((reading) => reading.number === number);
    for (const reading of waiting.splice(0, found + 1)) times.push(at - reading.at);
    wake();
  };
  for (let sent = 0; sent < count; sent++) {
    const number = numbers[sent % numbers.length] as string;
    waiting.push({ number, at: performance.now() });
    contender.publish(number);
    await new Promise<void>((resolve) => clock.after(pauseMs(), resolve));
  }
  const patience = new Promise<void>((resolve) => clock.after(10_000, resolve));
  const all = new Promise<void>((resolve) => {
    wake = () => {
      if (waiting.length === 0) resolve();
    };
    wake();
  });
  await Promise.race([all, patience]);
  return times;
}

export const quantile = (sorted: readonly number[], share: number): number =>
  sorted[Math.min(sorted.length - 1, Math.ceil(share * sorted.length) - 1)] as number;
