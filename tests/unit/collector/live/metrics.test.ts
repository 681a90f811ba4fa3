import { expect, it } from 'vitest';
import { createSiteMetrics } from '../../../../collector/live/metrics.ts';

it('counts refused payloads as a counter that follows intake', async () => {
  let rejected = 0;
  const metrics = createSiteMetrics({ alarms: () => [], parts: () => [], rejected: () => rejected });
  rejected = 3;
  await metrics.text();
  rejected = 5;
  const lines = (await metrics.text()).split('\n');
  expect(lines).toContain('# TYPE shelfwarden_rejected_payloads counter');
  expect(lines).toContain('shelfwarden_rejected_payloads_total 5');
});
