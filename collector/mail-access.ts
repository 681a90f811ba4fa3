import { readFileSync } from 'node:fs';
import { AppError, messageOf } from '../shared/errors.ts';
import type { MailSettings } from '../shared/farm/schema.ts';
import { readPasswordFile } from './secret-file.ts';

/**
 * Resolves the environment variables and the file that the farm file names for the mail server.
 * @throws AppError 'delivery' that says which is missing, never what another holds.
 */
export function readMailAccess(
  mail: MailSettings,
  environment: Readonly<Record<string, string | undefined>>,
): { user: string | undefined; password: string | undefined; ca: string | undefined } {
  const variable = (name: string | undefined): string | undefined => {
    if (name === undefined) return undefined;
    const value = environment[name];
    if (value === undefined || value === '')
      throw new AppError(
        'delivery',
        `The farm file says that the mail server's access is in the environment variable ${name}, which is not set. ` +
          'Set it before the start, or take the line out of the farm file.',
      );
    return value;
  };
  const passwordIn = (path: string): string =>
    readPasswordFile(path, "The mail server's password file", 'delivery');
  const authorityIn = (path: string): string => {
    try {
      return readFileSync(path, 'utf8');
    } catch (cause) {
      throw new AppError(
        'delivery',
        `The mail server's certificate file cannot be read: ${messageOf(cause)}`,
        { cause },
      );
    }
  };
  return {
    user: variable(mail.userEnv),
    password: variable(mail.passwordEnv) ?? (mail.passwordFile && passwordIn(mail.passwordFile)),
    ca: mail.caFile && authorityIn(mail.caFile),
  };
}
