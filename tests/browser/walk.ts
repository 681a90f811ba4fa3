import type { Page } from 'playwright-core';

/** What the keyboard alone did not come to, and what it came to without it being seen. */
interface Walk {
  left: string[];
  unseen: string;
}

const usable = 'a[href]:not([tabindex="-1"]), button:not(:disabled), input, select, summary';

const unreached = (page: Page): Promise<string[]> =>
  page.evaluate(
    (selector) =>
      [...document.querySelectorAll<HTMLElement>(selector)]
        .filter((one) => one.closest('dialog:not([open])') === null && one.getClientRects().length > 0)
        // Of radio buttons that belong together the keyboard reaches the chosen one; arrows do the rest.
        .filter((one) => !(one instanceof HTMLInputElement && one.type === 'radio' && !one.checked))
        .filter((one) => one.dataset.reached === undefined)
        .map((one) => one.outerHTML.slice(0, 120)),
    usable,
  );

/**
 * Walks a page by Tab until everything that can be used was reached. What is drawn anew by a live value loses
 * its mark, so rounds go on while something is left unreached.
 */
export async function walkByKeyboard(page: Page): Promise<Walk> {
  let left = await unreached(page);
  let unseen = left.length === 0 ? 'nothing to use' : '';
  for (let round = 0; round < 3 && left.length > 0; round += 1) {
    const presses = (await page.locator('a, button, input, select, summary').count()) + 12;
    for (let press = 0; press < presses; press += 1) {
      await page.keyboard.press('Tab');
      const unmarked = await page.evaluate(() => {
        const one = document.activeElement as HTMLElement;
        one.dataset.reached = 'yes';
        const marked = (part: Element | null | undefined) =>
          part != null &&
          getComputedStyle(part).outlineStyle !== 'none' &&
          getComputedStyle(part).outlineWidth !== '0px';
        // A control drawn by another element shows its focus there.
        const shown = marked(one) || marked(one.nextElementSibling) || marked(one.closest('.chart-place'));
        return shown || one === document.body ? '' : one.outerHTML.slice(0, 120);
      });
      if (unmarked !== '') unseen = unmarked;
    }
    left = await unreached(page);
  }
  return { left, unseen };
}
