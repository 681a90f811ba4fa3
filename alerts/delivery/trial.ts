import { AppError } from '../../shared/errors.ts';
import type { Farm } from '../../shared/farm/farm.ts';
import type { DeliveryStep, Mailer, Webhooks } from '../../shared/ports.ts';
import type { Clock } from '../../shared/time.ts';
import { htmlOf, messageIdOf } from './email.ts';

export interface TrialNeeds {
  clock: Clock;
  mailer: Mailer;
  webhooks: Webhooks | null;
}

/**
 * Sends a test message to one person by one channel, now and past the outbox, and tells what happened step
 * by step. Throws AppError 'not-found' for a person or channel that the farm file does not have.
 */
export async function tryChannel(
  { clock, mailer, webhooks }: TrialNeeds,
  farm: Farm,
  personId: string,
  channel: string,
  who: string,
): Promise<DeliveryStep[]> {
  const { people, site, mail } = farm.file;
  const person = people.find(({ id }) => id === personId);
  if (person === undefined) throw new AppError('not-found', `The farm file has no person '${personId}'.`);
  const theirs = person.channels ?? ['email'];
  if (!theirs.includes(channel))
    throw new AppError('not-found', `${person.name} has no channel '${channel}', only ${theirs.join(', ')}.`);
  const first = 'This is a test. Nothing is wrong, and there is nothing to do.';
  const lines = [`${who} asked ${site.name} to try this way of reaching you. Alarms will come the same way.`];
  const messageId = messageIdOf(`test.${clock.now().toString(36)}`, personId, site.id);
  const subject = `Test from ${site.name}`;
  const text = `${[first, '', ...lines].join('\n')}\n`;
  if (channel === 'email') {
    if (mail === undefined) return notSet('The farm file names no mail server: add mail:.');
    if (person.email === undefined) return notSet(`The farm file has no email address for ${person.name}.`);
    return mailer.trial({ to: person.email, subject, text, html: htmlOf(first, lines), messageId });
  }
  if (webhooks === null) return notSet('A training run posts to no webhook.');
  const data = { site: site.id, person: personId, subject, text };
  const timestamp = new Date(clock.now()).toISOString();
  return webhooks.trial({
    hook: channel,
    id: `msg_test_${clock.now().toString(36)}_${personId}`,
    body: JSON.stringify({ type: 'test', timestamp, data }),
  });
}

const notSet = (text: string): DeliveryStep[] => [{ step: 'failed', ok: false, text }];
