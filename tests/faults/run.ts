import { runNamed } from '../bench/figure.ts';

await runNamed({});
