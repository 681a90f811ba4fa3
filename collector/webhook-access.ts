import { AppError } from '../shared/errors.ts';
import type { WebhookSettings } from '../shared/farm/people-schema.ts';
import { readSecretFile } from './secret-file.ts';

/**
 * Resolves the secret that the farm file names for a webhook.
 * @throws AppError 'delivery' that says what is missing, never what another holds.
 */
export function readWebhookAccess(
  { id, url, secretEnv, secretFile }: WebhookSettings,
  environment: Readonly<Record<string, string | undefined>>,
): { id: string; url: string; secret: string } {
  if (secretFile !== undefined)
    return {
      id,
      url,
      secret: readSecretFile(secretFile, `The secret file of webhook '${id}'`, 'delivery').trim(),
    };
  const secret = secretEnv === undefined ? undefined : environment[secretEnv];
  if (secret === undefined || secret === '')
    throw new AppError(
      'delivery',
      `The secret of webhook '${id}' should be in the environment variable ${secretEnv}, which is not set.`,
    );
  return { id, url, secret };
}
