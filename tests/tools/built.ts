import { spawnSync } from 'node:child_process';
import { fileURLToPath } from 'node:url';

const build = fileURLToPath(new URL('../../.scripts/build.mjs', import.meta.url));

/** Once before the tests that look at what is built: builds it where a source is newer. */
export default function buildOnce(): void {
  const { status, stdout, stderr } = spawnSync(process.execPath, [build, '--if-stale'], { encoding: 'utf8' });
  if (status !== 0)
    throw new Error(`The build failed, so the built screens cannot be tried.\n${stdout}${stderr}`);
}
