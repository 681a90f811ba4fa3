import type { Figure } from '../bench/figure.ts';
import { figuresOf, killAgainAndAgain } from './kill.ts';

/** The same behind a backlog of more readings than MQTT has packet ids (65,535). */
export const run = async (): Promise<Figure[]> =>
  figuresOf(await killAgainAndAgain({ rounds: 10, perSecond: 2_000, backlog: 100_000 }));
