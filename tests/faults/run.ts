import { runNamed } from '../bench/figure.ts';

await runNamed({
  kill: () => import('./kill.ts'),
  'kill-backlog': () => import('./kill-backlog.ts'),
  alarms: () => import('./alarms.ts'),
});
