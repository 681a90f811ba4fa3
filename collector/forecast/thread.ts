import { parentPort } from 'node:worker_threads';
import { createAnswerer } from './answer.ts';
import type { ToEngine } from './protocol.ts';

const port = parentPort;
if (port === null) throw new Error('The forecast thread must be started by the forecaster.');

const answer = createAnswerer((message) => port.postMessage(message));
port.on('message', (message: ToEngine) => answer(message));
