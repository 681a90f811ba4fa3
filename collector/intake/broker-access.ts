import { readFileSync } from 'node:fs';
import { AppError, messageOf } from '../../shared/errors.ts';
import type { FarmFile } from '../../shared/farm/schema.ts';
import { readPasswordFile, readSecretFile } from '../secret-file.ts';

/** The part of the farm file that names an external broker. */
export type BrokerSettings = Extract<NonNullable<FarmFile['broker']>, { url: string }>;

/** What is needed to reach a broker. Holds secrets: never log it and never send it anywhere. */
export interface BrokerAccess {
  url: string;
  username?: string | undefined;
  password?: string | undefined;
  ca?: Buffer | undefined;
  cert?: Buffer | undefined;
  key?: Buffer | undefined;
}

/**
 * Resolves the environment variables and files that the farm file names.
 * @throws AppError 'transport' that says which variable or file is missing, never what another holds.
 */
export function readBrokerAccess(
  broker: BrokerSettings,
  environment: Readonly<Record<string, string | undefined>>,
): BrokerAccess {
  const variable = (name: string | undefined, what: string): string | undefined => {
    if (name === undefined) return undefined;
    const value = environment[name];
    if (value === undefined || value === '')
      throw new AppError(
        'transport',
        `The broker's ${what} should be in the environment variable ${name}, which is not set. ` +
          'Set it before the start, or take the line out of the farm file.',
      );
    return value;
  };
  const file = (path: string | undefined, what: string): Buffer | undefined => {
    if (path === undefined) return undefined;
    try {
      return readFileSync(path);
    } catch (cause) {
      throw new AppError('transport', `The broker's ${what} cannot be read: ${messageOf(cause)}`, { cause });
    }
  };

  if (/^mqtts?:\/\/[^/]*@/.test(broker.url))
    throw new AppError(
      'transport',
      'broker.url holds a user or password. Name them by userEnv and passwordEnv or passwordFile instead.',
    );
  const password =
    variable(broker.passwordEnv, 'password') ??
    (broker.passwordFile === undefined
      ? undefined
      : readPasswordFile(broker.passwordFile, "The broker's password file", 'transport'));
  return {
    url: broker.url,
    username: variable(broker.userEnv, 'user name'),
    password,
    ca: file(broker.caFile, 'CA certificate'),
    cert: file(broker.certFile, 'client certificate'),
    key:
      broker.keyFile === undefined
        ? undefined
        : Buffer.from(readSecretFile(broker.keyFile, "The broker's client key", 'transport')),
  };
}
