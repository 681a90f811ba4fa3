import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import type { Page } from 'playwright-core';

const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');

interface Violation {
  id: string;
  nodes: { html: string; failureSummary?: string }[];
}

/** What axe finds against WCAG 2.2 A and AA and its own good practice, as `rule: element`. */
export async function violationsOf(page: Page): Promise<string[]> {
  // Run from outside the page's policy, as a browser extension would.
  await page.evaluate(axe);
  const { violations } = (await page.evaluate('axe.run(document, { resultTypes: ["violations"] })')) as {
    violations: Violation[];
  };
  return violations.flatMap(({ id, nodes }) =>
    nodes.map(({ html, failureSummary }) => `${id}: ${html.slice(0, 140)} ${failureSummary ?? ''}`),
  );
}
