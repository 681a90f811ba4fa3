import { runNamed } from './figure.ts';

await runNamed({});
