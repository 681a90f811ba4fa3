import { AppError } from '../../shared/errors.ts';
import type { DeliveryStep, OutgoingHook, Webhooks } from '../../shared/ports.ts';
import type { Clock } from '../../shared/time.ts';
import { guardedRequest } from './guarded-request.ts';
import { webhookHeaders, webhookKey } from './sign-webhook.ts';

export interface WebhookTarget {
  id: string;
  url: string;
  /** `whsec_...`, resolved from environment or file by the caller; never logged. */
  secret: string;
}

interface WebhookNeeds {
  /** Looks a target up as the farm file has it now; throws AppError when its secret is not there. */
  target: (hook: string) => WebhookTarget | undefined;
  privateHosts: () => readonly string[];
  clock: Clock;
  /** PEM of authorities besides the public ones. */
  ca?: string;
  timeoutMs?: number;
}

/** Statuses below 500 that say 'later', not 'no'. */
const passing = new Set([408, 425, 429]);

/** What a status other than 2xx means for delivery. */
function refusalOf(host: string, status: number): AppError {
  const says = `${host} answered ${status}`;
  const error = (text: string, details: Record<string, unknown>) =>
    new AppError('delivery', text, { details: { status, ...details } });
  if (status === 410)
    return error(`${says}: it is gone for good and takes no more messages.`, { permanent: true, gone: true });
  if (status >= 300 && status < 400)
    return error(`${says}, a redirect, which is not followed; write the final address in the farm file.`, {
      permanent: false,
      failOver: true,
    });
  return error(`${says}.`, { permanent: false, failOver: status < 500 && !passing.has(status) });
}

/** Posts messages to webhooks, signed after Standard Webhooks. One try a call. */
export function createWebhooks({ target, privateHosts, clock, ca, timeoutMs }: WebhookNeeds): Webhooks {
  const post = async (message: OutgoingHook, onStep?: (step: string, text: string) => void) => {
    const { hook, id, body } = message;
    const to = target(hook);
    if (to === undefined)
      throw new AppError('delivery', `The farm file has no webhook '${hook}' any more.`, {
        details: { permanent: true },
      });
    const headers = {
      'content-type': 'application/json',
      'user-agent': 'shelfwarden',
      ...webhookHeaders(webhookKey(to.secret), id, clock.now(), body),
    };
    const status = await guardedRequest(
      {
        url: to.url,
        method: 'POST',
        headers,
        body,
        privateHosts: privateHosts(),
        ...(onStep && { onStep }),
        ...(ca === undefined ? {} : { ca }),
        ...(timeoutMs === undefined ? {} : { timeoutMs }),
      },
      clock,
    );
    const { hostname } = new URL(to.url);
    if (status < 200 || status > 299) throw refusalOf(hostname, status);
    return `${hostname} answered ${status}`;
  };

  return {
    async post(message) {
      await post(message);
    },
    async trial(message) {
      const steps: DeliveryStep[] = [];
      try {
        const accepted = await post(message, (step, text) => steps.push({ step, ok: true, text }));
        steps.push({ step: 'accepted', ok: true, text: accepted });
      } catch (thrown) {
        steps.push({ step: 'failed', ok: false, text: (thrown as Error).message });
      }
      return steps;
    },
  };
}
