import { randomBytes } from 'node:crypto';
import { chmodSync, existsSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';

const name = 'link.key';
const bytes = 32;

/** The key that signs links in messages: made at the first start, readable by the owner only. */
export function readLinkKey(dataFolder: string): Buffer {
  const path = join(dataFolder, name);
  if (existsSync(path)) {
    const key = readFileSync(path);
    if (key.length === bytes) return key;
  }
  const key = randomBytes(bytes);
  writeFileSync(path, key, { mode: 0o600 });
  // The mode above counts only for a file that was not there.
  chmodSync(path, 0o600);
  return key;
}
