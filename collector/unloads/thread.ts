import { parentPort } from 'node:worker_threads';
import { answerOrder, type Order } from './orders.ts';

const port = parentPort;
if (port === null) throw new Error('The thread of hot loads must be started by the site.');
port.on('message', (order: Order) => port.postMessage(answerOrder(order)));
