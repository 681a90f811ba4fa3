import { parentPort, workerData } from 'node:worker_threads';
import { messageOf } from '../../shared/errors.ts';
import { makeBackup } from './make-backup.ts';

const { source, target } = workerData as { source: string; target: string };
try {
  parentPort!.postMessage({ report: makeBackup(source, target) });
} catch (thrown) {
  parentPort!.postMessage({ problem: messageOf(thrown) });
}
