import { runNamed } from './figure.ts';

await runNamed({
  intake: () => import('./intake.ts'),
  import: () => import('./import.ts'),
  backtest: () => import('./back-test.ts'),
  wall: () => import('./wall.ts'),
  training: () => import('./training.ts'),
  forecast: () => import('./forecast.ts'),
  calibration: () => import('./calibration.ts'),
  scores: () => import('./scores.ts'),
  prediction: () => import('./prediction.ts'),
  'future-air': () => import('./future-air.ts'),
  alarms: () => import('./alarms.ts'),
  rooms: () => import('./rooms.ts'),
  unloads: () => import('./unloads.ts'),
  plan: () => import('./plan.ts'),
  doors: () => import('./doors.ts'),
  recognise: () => import('./recognise.ts'),
  bags: () => import('./bags.ts'),
});
