import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { onTestFinished } from 'vitest';
import type { LiveState, PartHealth } from '../../../shared/live.ts';
import { type StartOptions, startCollector } from '../../tools/collector.ts';
import { enter } from '../../tools/enter.ts';

/** A folder for one test. */
export function temporaryFolder(): string {
  const folder = mkdtempSync(join(tmpdir(), 'shelfwarden-command-'));
  onTestFinished(() => rmSync(folder, { recursive: true, force: true }));
  return folder;
}

const farmYaml = (more: string): string => `
site: { id: small, name: Small farm, timeZone: Europe/Dublin }
rooms: [{ id: warm, name: Warm room, limits: { temperature: { low: 18, high: 28 } } }]
sensors:
  - { id: air, topic: lab/air, decoder: json, timePointer: /at, at: warm, channels: [{ quantity: temperature, pointer: /t, unit: degC }] }
${more}
`;
export const embedded = 'broker: { embedded: { port: 0 } }';
const channel = 'air.temperature';

/** Writes a farm file with one sensor, which reports JSON `{ at, t }` on lab/air. */
export function writeFarm(folder: string, more: string): string {
  const file = join(folder, 'farm.yaml');
  writeFileSync(file, farmYaml(more));
  return file;
}

/** The command on such a farm, with Ida signed in and a password for the sensor; ended with the test. */
export async function startFarm(folder: string, more: string, options: StartOptions = {}) {
  const words = ['--farm', writeFarm(folder, more), '--data', join(folder, 'data'), '--port', '0'];
  const collector = await startCollector(words, options);
  onTestFinished(async () => void (await collector.end('SIGKILL')));
  const insider = await enter(collector.url);
  const answer = async (path: string): Promise<unknown> => (await insider.get(path)).json();
  return {
    collector,
    insider,
    /** What the sensor connects with, where the broker is the built-in one. */
    sensor: () => insider.device('lab-air', 'lab'),
    live: () => answer('/api/sites/farm/live') as Promise<LiveState>,
    health: () => answer('/health') as Promise<{ status: string; parts: PartHealth[] }>,
    /** How many readings the store has from `from` on. */
    async stored(from: number): Promise<number> {
      const query = new URLSearchParams({ channel, from: `${from}`, to: `${from + 86_400_000}` });
      const { points } = (await answer(`/api/sites/farm/series?${query}`)) as { points: { count: number }[] };
      return points.reduce((sum, { count }) => sum + count, 0);
    },
  };
}
