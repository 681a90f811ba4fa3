import { describe, expect, it } from 'vitest';
import { type Alerted, alertStep, silent, tuneOf } from '../../../../../dashboard/web/wall/alert-plan.ts';

const alarm = { id: 'high/warm', since: 1_000, priority: 1 as const };

/** Steps each second from `from`, for so long; when it sounded and spoke. */
function run(seconds: number, ringing: Parameters<typeof alertStep>[1], from = 100_000) {
  let alerted: Alerted = silent;
  const sounds: number[] = [];
  const says: number[] = [];
  for (let second = 0; second < seconds; second += 1) {
    const step = alertStep(alerted, ringing, from + second * 1_000);
    alerted = step.after;
    if (step.sound) sounds.push(second);
    if (step.say) says.push(second);
  }
  return { sounds, says, alerted };
}

describe('an alarm that rings', () => {
  it('sounds at once and again in its own rhythm, and is said more seldom', () => {
    expect(run(16, alarm)).toMatchObject({ sounds: [0, 5, 10, 15], says: [0] });
    expect(run(61, { ...alarm, priority: 3 })).toMatchObject({ sounds: [0, 60], says: [0] });
  });

  it('is heard anew when it rings again', () => {
    const { alerted } = run(2, alarm);
    expect(alertStep(alerted, { ...alarm, since: 2_000 }, 102_000)).toMatchObject({ sound: true, say: true });
  });

  it('is heard though the clock was stepped back', () => {
    const { alerted } = run(2, alarm);
    expect(alertStep(alerted, alarm, 40_000).sound).toBe(true);
  });

  it('is silent when it no longer rings', () => {
    const { alerted } = run(2, alarm);
    expect(alertStep(alerted, undefined, 101_000)).toEqual({ after: silent, sound: false, say: false });
  });
});

it('the more urgent, the more pulses and the more often', () => {
  expect(tuneOf[1].pulses).toBeGreaterThan(tuneOf[2].pulses);
  expect(tuneOf[2].pulses).toBeGreaterThan(tuneOf[3].pulses);
  expect(tuneOf[1].everyMs).toBeLessThan(tuneOf[2].everyMs);
  expect(tuneOf[2].everyMs).toBeLessThan(tuneOf[3].everyMs);
});
