import { createRequire } from 'node:module';
import { pathToFileURL } from 'node:url';
import { Worker } from 'node:worker_threads';

/** A thread has no TypeScript loader of its own in Node 20: this registers tsx in it, then loads the module. */
const loadSource = `
const { workerData } = require('node:worker_threads');
import(workerData.tsx).then(({ register }) => {
  register();
  return import(workerData.module);
});
`;

/** Starts the computation in a thread: the compiled module, or its source under tsx and vitest. */
export function startThread(): Worker {
  const fromSource = import.meta.url.endsWith('.ts');
  if (!fromSource) return new Worker(new URL('./thread.js', import.meta.url), { name: 'forecast' });
  // tsx's CommonJS entry cannot find its own hooks; the ES module beside it can.
  const tsx = createRequire(import.meta.url)
    .resolve('tsx/esm/api')
    .replace(/\.cjs$/, '.mjs');
  return new Worker(loadSource, {
    eval: true,
    name: 'forecast',
    workerData: {
      tsx: pathToFileURL(tsx).href,
      module: new URL('./thread.ts', import.meta.url).href,
    },
  });
}
