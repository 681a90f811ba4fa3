import { existsSync, readFileSync, renameSync, writeFileSync } from 'node:fs';

/** A value kept as one JSON file, replaced whole so that a crash leaves the old or the new one. */
export function createSnapshotFile<T>(path: string) {
  return {
    /** Undefined when there is none, or it cannot be read as JSON. */
    read(): T | undefined {
      if (!existsSync(path)) return undefined;
      try {
        return JSON.parse(readFileSync(path, 'utf8')) as T;
      } catch {
        return undefined;
      }
    },
    write(value: T): void {
      writeFileSync(`${path}.new`, JSON.stringify(value), { mode: 0o600 });
      renameSync(`${path}.new`, path);
    },
  };
}
