import { AppError, messageOf } from '../../shared/errors.ts';

const sentences: Record<string, (file: string) => string> = {
  SQLITE_FULL: (file) => `The disk that holds ${file} is full. Free some space; recording resumes by itself.`,
  SQLITE_BUSY: (file) => `${file} is held by another program. Close it and try again.`,
  SQLITE_LOCKED: (file) => `${file} is held by another program. Close it and try again.`,
  SQLITE_READONLY: (file) =>
    `${file} cannot be written. Give this user the right to, or name another (--data).`,
  SQLITE_CANTOPEN: (file) =>
    `${file} cannot be opened. Check that its folder exists and may be written (--data).`,
  SQLITE_NOTADB: (file) => `${file} is not a database. Move it away, or name another data folder (--data).`,
  SQLITE_CORRUPT: (file) => `${file} is damaged. Stop, and put the newest backup in its place.`,
  SQLITE_IOERR: (file) => `The disk that holds ${file} reports an error. Check the disk, then start again.`,
  EACCES: (file) =>
    `${file} cannot be written by this user. Change its permissions, or name another (--data).`,
  EPERM: (file) =>
    `${file} cannot be written by this user. Change its permissions, or name another (--data).`,
  EROFS: (file) => `${file} lies on a read-only disk. Name another data folder (--data).`,
  ENOSPC: (file) => `The disk that holds ${file} is full. Free some space and start again.`,
  ENOTDIR: (file) =>
    `${file} cannot be made: a part of its path is a file. Name another data folder (--data).`,
  EEXIST: (file) =>
    `${file} cannot be made: a part of its path is a file. Name another data folder (--data).`,
  ENOENT: (file) => `${file} cannot be made there. Name another data folder (--data).`,
};

/** Turns what SQLite or the file system threw into one sentence a person can act on. */
export function explainStoreError(thrown: unknown, file: string): AppError {
  if (thrown instanceof AppError) return thrown;
  const code = String((thrown as { code?: unknown } | undefined)?.code ?? '');
  // Extended codes such as SQLITE_IOERR_WRITE start with the plain one.
  const known = Object.keys(sentences).find((name) => code === name || code.startsWith(`${name}_`));
  const text = known ? sentences[known]!(file) : `${file}: ${messageOf(thrown)}`;
  return new AppError('store', text, { cause: thrown, details: { code, file } });
}
