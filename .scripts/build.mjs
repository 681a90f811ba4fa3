// Builds what `npm start` runs: the server by Rolldown, the screens by Vite. With --if-stale only when a source is newer.
import { spawnSync } from 'node:child_process';
import { existsSync, readdirSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { bundleServer } from './bundle.mjs';

const root = fileURLToPath(new URL('..', import.meta.url));
const stamp = join(root, 'dist/.built');
const sources = [
  'shared',
  'collector',
  'alerts',
  'simulator',
  'dashboard',
  'package-lock.json',
  'tsconfig.json',
  '.scripts',
];

const newest = (path) => {
  if (!existsSync(path)) return 0;
  const stat = statSync(path);
  if (!stat.isDirectory()) return stat.mtimeMs;
  return readdirSync(path).reduce((latest, name) => Math.max(latest, newest(join(path, name))), stat.mtimeMs);
};

const run = (tool, args) => {
  const { status } = spawnSync(process.execPath, [join(root, 'node_modules', tool), ...args], {
    cwd: root,
    stdio: 'inherit',
  });
  if (status !== 0) process.exit(status ?? 1);
};

const stale = () =>
  !existsSync(stamp) || sources.some((source) => newest(join(root, source)) > statSync(stamp).mtimeMs);

if (!process.argv.includes('--if-stale') || stale()) {
  await bundleServer(root);
  if (existsSync(join(root, 'dashboard/web/vite.config.ts')))
    run('vite/bin/vite.js', ['build', '--config', 'dashboard/web/vite.config.ts', '--logLevel', 'warn']);
  writeFileSync(stamp, '');
}
