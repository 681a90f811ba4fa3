import type { OutboxRow } from './outbox.ts';

const types: Record<OutboxRow['reason'], string> = {
  raised: 'alarm.raised',
  'raised-again': 'alarm.raised',
  're-alarm': 'alarm.raised',
  'back-in-view': 'alarm.raised',
  returned: 'alarm.returned',
  gathered: 'alarms.gathered',
  digest: 'digest',
};

/** A row of the outbox as Standard Webhooks has it: an id for all tries, and a body of type, time and data. */
export function webhookMessage(row: OutboxRow): { id: string; body: string } {
  const { subject, text, messageId, data } = row.message;
  return {
    id: `msg_${messageId.replace(/[<>]/g, '').replace(/@.*/, '').replaceAll('.', '_')}`,
    body: JSON.stringify({
      type: types[row.reason],
      timestamp: new Date(row.queuedAt).toISOString(),
      data: { ...data, reason: row.reason, subject, text },
    }),
  };
}
