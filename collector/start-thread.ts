import { createRequire } from 'node:module';
import { pathToFileURL } from 'node:url';
import { Worker } from 'node:worker_threads';

/** A thread has no TypeScript loader of its own in Node 20: this registers tsx in it, then loads the module. */
const loadSource = `
const threads = require('node:worker_threads');
const { tsx, module, data } = threads.workerData;
threads.workerData = data;
import(tsx).then(({ register }) => {
  register();
  return import(module);
});
`;

/**
 * Starts a module in a thread: its bundled form, or its source under tsx and vitest.
 *
 * @param path of the module from this folder, without its ending; the bundle keeps it in the same place.
 * @param data what the thread finds as `workerData`.
 */
export function startThread(path: string, name: string, data?: unknown): Worker {
  if (!import.meta.url.endsWith('.ts'))
    return new Worker(new URL(`./${path}.js`, import.meta.url), { name, workerData: data });
  // tsx's CommonJS entry cannot find its own hooks; the ES module beside it can.
  const tsx = createRequire(import.meta.url)
    .resolve('tsx/esm/api')
    .replace(/\.cjs$/, '.mjs');
  const module = new URL(`./${path}.ts`, import.meta.url).href;
  const workerData = { tsx: pathToFileURL(tsx).href, module, data };
  return new Worker(loadSource, { eval: true, name, workerData });
}
