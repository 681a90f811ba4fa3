import { monitorEventLoopDelay } from 'node:perf_hooks';
import { openCollector } from '../../collector/main.ts';

/** The demo farm as a process of its own, that tells how long its event loop keeps others waiting. */
export interface FarmAddress {
  url: string;
  broker: string;
}

/** Since the last time it was asked [ms]. */
export interface LoopDelay {
  p50: number;
  p99: number;
  max: number;
}

const resolution = 10;
const delay = monitorEventLoopDelay({ resolution });
const collector = await openCollector({
  farmPath: undefined,
  dataFolder: process.argv[2],
  host: '127.0.0.1',
  port: 0,
  brokerUrl: undefined,
});
const broker = /127\.0\.0\.1:\d+/.exec(collector.transport.status().text)![0];
const end = () => void collector.close().then(() => process.exit(0));
process.on('disconnect', end);
process.on('message', (word) => {
  if (word === 'end') return end();
  // The monitor's own timer takes `resolution` of each delay.
  const ms = (ns: number) => Math.max(0, ns / 1e6 - resolution);
  const told: LoopDelay = {
    p50: ms(delay.percentile(50)),
    p99: ms(delay.percentile(99)),
    max: ms(delay.max),
  };
  delay.reset();
  process.send!(told);
});
delay.enable();
process.send!({ url: collector.url, broker: `mqtt://${broker}` } satisfies FarmAddress);
