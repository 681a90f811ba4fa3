import { runNamed } from './figure.ts';

await runNamed({ intake: () => import('./intake.ts') });
