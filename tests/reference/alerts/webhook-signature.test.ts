import { expect, test } from 'vitest';
import { webhookHeaders, webhookKey } from '../../../alerts/delivery/sign-webhook.ts';

// Standard Webhooks specification 1.0.0, the example that its reference libraries test against.
test('a webhook is signed as the Standard Webhooks example', () => {
  const key = webhookKey('whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw');
  const id = 'msg_p5jXN8AQM9LWM0D4loKWxJek';
  const headers = webhookHeaders(key, id, 1_614_265_330_000, '{"test": 2432232314}');
  expect(headers).toEqual({
    'webhook-id': id,
    'webhook-timestamp': '1614265330',
    'webhook-signature': 'v1,g0hM9SsE+OTPJTGt/tmIKtSyZlE3uFJELVlNIOLJ1OE=',
  });
});

test.each(['whsec_short', 'whsec_', 'not base64 at all, but long enough to pass for a secret!'])(
  'what is no secret of that form is refused without being repeated: %s',
  (secret) => {
    expect(() => webhookKey(secret)).toThrow(/base64 of 24 to 64/);
    expect(() => webhookKey(secret)).not.toThrow(secret.slice(6) || 'nothing to repeat');
  },
);
