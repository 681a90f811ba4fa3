import { AppError } from '../../shared/errors.ts';
import type { InfluxSettings } from '../../shared/farm/schema.ts';
import { readPasswordFile } from '../secret-file.ts';

/**
 * Resolves the environment variable or the file that the farm file names for the token of InfluxDB.
 * @throws AppError 'farm-file' that says which is missing, never what another holds.
 */
export function readInfluxToken(
  { tokenEnv, tokenFile }: Pick<InfluxSettings, 'tokenEnv' | 'tokenFile'>,
  environment: Readonly<Record<string, string | undefined>>,
): string | undefined {
  if (tokenFile !== undefined) return readPasswordFile(tokenFile, 'The token file of InfluxDB', 'farm-file');
  if (tokenEnv === undefined) return undefined;
  const token = environment[tokenEnv];
  if (token === undefined || token === '')
    throw new AppError(
      'farm-file',
      `The token of InfluxDB should be in the environment variable ${tokenEnv}, which is not set. ` +
        'Set it before the start, or take the line out of the farm file.',
    );
  return token;
}
