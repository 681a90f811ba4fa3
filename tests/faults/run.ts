import { runNamed } from '../bench/figure.ts';

await runNamed({ kill: () => import('./kill.ts') });
