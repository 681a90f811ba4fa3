import { readFileSync, statSync } from 'node:fs';
import { AppError, type ErrorCode, messageOf } from '../shared/errors.ts';

/** Bits of a mode that let everybody on the machine read or write. */
const everybody = 0o006;

/** A password or another secret of one line; editors end files with a line break that is no part of it. */
export const readPasswordFile = (path: string, what: string, code: ErrorCode): string =>
  readSecretFile(path, what, code).replace(/\r?\n$/, '');

/**
 * The text of a file that the farm file names for a secret.
 * @throws AppError of `code` that names the file and says how to mend it, never what it holds.
 */
export function readSecretFile(path: string, what: string, code: ErrorCode): string {
  let mode: number;
  let text: string;
  try {
    ({ mode } = statSync(path));
    text = readFileSync(path, 'utf8');
  } catch (cause) {
    throw new AppError(code, `${what} cannot be read: ${messageOf(cause)}`, { cause });
  }
  // Windows keeps its permissions elsewhere and shows each file as open to everybody.
  if (process.platform !== 'win32' && (mode & everybody) !== 0)
    throw new AppError(
      code,
      `${what} is in ${path}, which everybody on this machine can read or change (mode ${(mode & 0o777).toString(8)}). ` +
        `Let only its owner do so: chmod 600 ${path}`,
    );
  return text;
}
