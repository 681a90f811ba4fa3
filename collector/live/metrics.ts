import { Counter, Gauge, Registry } from 'prom-client';
import type { AlarmView } from '../../shared/alarms.ts';
import type { PartHealth } from '../../shared/live.ts';

interface MetricsParts {
  alarms: () => AlarmView[];
  parts: () => PartHealth[];
  /** Topics whose payloads were refused, and how many in all. */
  rejected: () => number;
}

/** What a site counts, in a registry of its own, as OpenMetrics text. */
export function createSiteMetrics({ alarms, parts, rejected }: MetricsParts) {
  const registry = new Registry<typeof Registry.OPENMETRICS_CONTENT_TYPE>();
  registry.setContentType(Registry.OPENMETRICS_CONTENT_TYPE);
  const registers = [registry];

  const readings = new Counter({
    name: 'shelfwarden_readings',
    help: 'Readings stored since the start.',
    registers,
  });
  new Counter({
    name: 'shelfwarden_rejected_payloads',
    help: 'Payloads that could not be used since the start.',
    registers,
    collect() {
      this.reset();
      this.inc(rejected());
    },
  });
  new Gauge({
    name: 'shelfwarden_alarms',
    help: 'Alarms by state.',
    labelNames: ['state'],
    registers,
    collect() {
      this.reset();
      for (const { state } of alarms()) this.inc({ state });
    },
  });
  new Gauge({
    name: 'shelfwarden_part_ok',
    help: '1 while a part works, else 0.',
    labelNames: ['part'],
    registers,
    collect() {
      this.reset();
      for (const { part, state } of parts()) this.set({ part }, state === 'ok' ? 1 : 0);
    },
  });

  return {
    stored: (count: number) => readings.inc(count),
    text: () => registry.metrics(),
  };
}
