import { describe, expect, test } from 'vitest';
import { createHeartbeat, stoodStill } from '../../../../alerts/delivery/heartbeat.ts';
import { createManualClock } from '../../../../shared/manual-clock.ts';
import { smallFarm } from '../../../tools/alarm-site.ts';

const before = { intake: 10, evaluation: 20, outbox: 30 };

describe('the chain stood still when', () => {
  test.each([
    ['intake', 0, 'no reading was stored'],
    ['evaluation', 0, 'no alarm was evaluated'],
    ['outbox', 0, 'the outbox was not worked'],
    [null, 3, '3 messages are not out'],
  ])('%s did (%i overdue)', (link, overdue, words) => {
    const now = { intake: 11, evaluation: 21, outbox: 31 };
    const stuck = link === null ? now : { ...now, [link]: before[link as keyof typeof before] };
    expect(stoodStill(before, stuck, overdue)).toEqual([words]);
  });
  test('and not otherwise', () => {
    expect(stoodStill(before, { intake: 11, evaluation: 21, outbox: 31 }, 0)).toEqual([]);
  });
});

test('the sign of life goes out only when all have advanced since the last', async () => {
  const clock = createManualClock(0);
  const sent: string[] = [];
  const states: string[] = [];
  const progress = { ...before };
  const heartbeat = createHeartbeat({
    clock,
    farm: smallFarm({ heartbeat: { topic: 'farm/alive', everyMin: 5 } }),
    transport: { publish: async (topic) => void sent.push(topic) },
    progress: () => ({ ...progress }),
    overdue: () => 0,
    onState: (state, text) => states.push(`${state} ${text}`),
  });
  const beat = async (change: Partial<typeof progress>) => {
    for (const [link, by] of Object.entries(change)) progress[link as keyof typeof progress] += by;
    clock.advanceBy(5 * 60_000);
    for (let turn = 0; turn < 5; turn++) await Promise.resolve();
  };
  heartbeat.start();
  await beat({ intake: 1, evaluation: 1, outbox: 1 });
  expect(sent).toEqual(['farm/alive']);
  await beat({ evaluation: 1, outbox: 1 });
  expect(sent).toHaveLength(1);
  expect(states.at(-1)).toBe('failed No sign of life sent: no reading was stored.');
  await beat({ intake: 1, evaluation: 1, outbox: 1 });
  expect(sent).toHaveLength(2);
  heartbeat.stop();
  await beat({ intake: 1, evaluation: 1, outbox: 1 });
  expect(sent).toHaveLength(2);
});
