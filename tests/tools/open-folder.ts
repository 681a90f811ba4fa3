import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

/** A new folder that is gone with the block it was opened in, however that ends: `using folder = openFolder('kill')`. */
export function openFolder(name: string) {
  const path = mkdtempSync(join(tmpdir(), `shelfwarden-${name}-`));
  return {
    path,
    // Who was killed the instant before may still hold a file in it.
    [Symbol.dispose]: () => rmSync(path, { recursive: true, force: true, maxRetries: 5 }),
  };
}
