// Bundles the server and each of its threads: one file is read at start where there were several hundred.
import { rolldown } from 'rolldown';

/** @param {string} root folder of package.json */
export async function bundleServer(root) {
  const bundle = await rolldown({
    cwd: root,
    platform: 'node',
    // Threads are found beside the command by collector/start-thread.ts, so each keeps its path.
    input: Object.fromEntries(
      [
        'cli',
        'forecast/thread',
        'store/backup-thread',
        'learning/thread',
        'rooms/thread',
        'unloads/thread',
      ].map((entry) => [entry, `collector/${entry}.ts`]),
    ),
    // Holds a compiled part of its own.
    external: [/^better-sqlite3/],
  });
  await bundle.write({
    dir: 'dist/collector',
    cleanDir: true,
    entryFileNames: '[name].js',
    chunkFileNames: 'part-[hash].js',
  });
  await bundle.close();
}
