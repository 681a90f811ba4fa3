import type { Worker } from 'node:worker_threads';
import { startThread as start } from '../start-thread.ts';

/** Starts the computation in a thread of its own. */
export const startThread = (): Worker => start('forecast/thread', 'forecast');
