import { spawnSync } from 'node:child_process';
import { chmodSync, mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { databaseName } from '../../../collector/data-folder.ts';
import { migrations } from '../../../collector/main.ts';
import { openDatabase } from '../../../collector/store/open-database.ts';
import { systemClock as clock } from '../../../collector/system-clock.ts';
import { runCollector, type StartOptions } from '../../tools/collector.ts';
import { embedded, temporaryFolder, writeFarm } from './farm.ts';

/** Makes the folder read-only for the command, whoever runs the tests: root is stopped by no permission bits. */
function readOnly(folder: string): StartOptions {
  chmodSync(folder, 0o500);
  if (process.getuid?.() !== 0) return {};
  const mount = ['unshare', '-m', 'sh', '-c', 'mount -t tmpfs -o ro none "$0" && exec "$@"', folder];
  if (spawnSync(mount[0]!, [...mount.slice(1), 'true']).status === 0) return { behind: mount };
  chmodSync(folder, 0o555);
  return { behind: ['setpriv', '--reuid=65534', '--clear-groups'] };
}

interface Wrong {
  words: string[];
  says: RegExp;
  options?: StartOptions;
}

/** What is wrong, made in a folder of its own: the words of the command line and what it has to say. */
const faults: [string, (folder: string) => Wrong][] = [
  [
    'a farm file that is not there',
    (folder) => ({
      words: ['--farm', join(folder, 'none.yaml')],
      says: /none\.yaml cannot be read.*--farm|none\.yaml cannot be read/,
    }),
  ],
  [
    'a farm file with mistakes',
    (folder) => ({
      words: ['--farm', writeFarm(folder, 'brokr: { embedded: { port: 0 } }')],
      says: /farm\.yaml:\d+:\d+.*brokr.*broker/s,
    }),
  ],
  [
    'a data folder that is read-only',
    (folder) => {
      const data = join(folder, 'data');
      mkdirSync(data);
      const words = ['--farm', writeFarm(folder, embedded), '--data', data];
      return { words, says: /data folder .*\/data cannot be written.*--data/, options: readOnly(data) };
    },
  ],
  [
    'a data folder whose path runs through a file',
    (folder) => {
      writeFileSync(join(folder, 'file'), '');
      const words = ['--farm', writeFarm(folder, embedded), '--data', join(folder, 'file', 'data')];
      return { words, says: /data folder .*\/file\/data cannot be written.*--data/ };
    },
  ],
  [
    'a database of a newer version',
    (folder) => {
      const database = openDatabase({ file: join(folder, databaseName), migrations, clock });
      database.exec("INSERT INTO migration VALUES ('store', 99, 'from the future', 'x', 0)");
      for (let number = 2; number < 99; number++)
        database
          .prepare("INSERT OR IGNORE INTO migration VALUES ('store', ?, 'from the future', 'x', 0)")
          .run(number);
      database.close();
      const words = ['--farm', writeFarm(folder, embedded), '--data', folder];
      return {
        words,
        says: /shelfwarden\.db was written by a newer version of Shelfwarden.*restore a backup/,
      };
    },
  ],
  [
    'an address that others can reach',
    (folder) => ({
      words: ['--farm', writeFarm(folder, embedded), '--data', folder, '--host', '0.0.0.0'],
      says: /0\.0\.0\.0.*nobody is set up/,
    }),
  ],
  ['no port', () => ({ words: ['--port', 'web'], says: /--port web is no port/ })],
  ['an option that there is not', () => ({ words: ['--prot', '1'], says: /--prot/ })],
];

test.each(faults)('%s: one clear sentence and exit code 1', async (_, make) => {
  const { words, says, options } = make(temporaryFolder());
  const { code, err, out } = await runCollector([...words], options);
  expect(err).toMatch(says);
  expect(code).toBe(1);
  expect(out).toBe('');
  expect(err).not.toMatch(/^\s+at /m);
  expect(err.trim().split('\n').length).toBeLessThan(6);
});
