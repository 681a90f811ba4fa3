import { runNamed } from './figure.ts';

await runNamed({ intake: () => import('./intake.ts'), wall: () => import('./wall.ts') });
