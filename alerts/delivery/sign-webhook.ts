import { createHmac } from 'node:crypto';
import { AppError } from '../../shared/errors.ts';
import { type EpochMs, secondMs } from '../../shared/time.ts';

const prefix = 'whsec_';
const fewestBytes = 24;
const mostBytes = 64;

/** The key in a `whsec_...` secret. Throws AppError 'delivery' that never repeats the secret. */
export function webhookKey(secret: string): Buffer {
  const base64 = secret.startsWith(prefix) ? secret.slice(prefix.length) : secret;
  const key = Buffer.from(base64, 'base64');
  if (!/^[A-Za-z0-9+/]+={0,2}$/.test(base64) || key.length < fewestBytes || key.length > mostBytes)
    throw new AppError(
      'delivery',
      `A webhook's secret must be ${prefix} and the base64 of ${fewestBytes} to ${mostBytes} random bytes.`,
    );
  return key;
}

/** Headers of the Standard Webhooks specification 1.0.0: the same id at every try, the time of this one. */
export function webhookHeaders(key: Buffer, id: string, t: EpochMs, body: string): Record<string, string> {
  const seconds = String(Math.floor(t / secondMs));
  const mac = createHmac('sha256', key).update(`${id}.${seconds}.${body}`).digest('base64');
  return { 'webhook-id': id, 'webhook-timestamp': seconds, 'webhook-signature': `v1,${mac}` };
}
