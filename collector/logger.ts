import { type DestinationStream, type Logger, pino } from 'pino';

/** Names under which libraries carry secrets in the errors that they throw. */
const secretNames = ['password', 'pass', 'token', 'secret', 'key', 'authorization', 'cookie'];

/** The log, lines of JSON. What stands under the name of a secret, to three levels deep, is left out. */
export const createLogger = (level: string, destination?: DestinationStream): Logger =>
  pino(
    {
      level,
      redact: {
        paths: secretNames.flatMap((name) => [name, `*.${name}`, `*.*.${name}`]),
        censor: '[kept back]',
      },
    },
    destination ?? pino.destination(1),
  );
