import { parentPort, workerData } from 'node:worker_threads';
import SQLite from 'better-sqlite3';
import { buildFarm } from '../../shared/farm/farm.ts';
import { builtInSpecies } from '../../shared/growth/species.ts';
import type { ThreadOrder } from './learn-apart.ts';
import { learnPast } from './learn-past.ts';

const { file, farm, finished, now } = workerData as ThreadOrder;
const database = new SQLite(file, { readonly: true });
try {
  parentPort!.postMessage(learnPast({ database, farm: buildFarm(farm, builtInSpecies), finished, now }));
} finally {
  database.close();
}
