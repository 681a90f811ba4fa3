import { describe, expect, it } from 'vitest';
import { type BackTestInput, backTest } from '../../../../alerts/tuning/back-test.ts';
import type { LimitBand } from '../../../../shared/farm/limits-schema.ts';
import { dayMs, hourMs, minuteMs } from '../../../../shared/time.ts';
import { smallFarm, startAt } from '../../../tools/alarm-site.ts';
import { readingsOf, recordedOf } from '../../../tools/recorded.ts';

const from = startAt + 2 * dayMs;
const to = from + dayMs;

const farmWith = (temperature: LimitBand) =>
  smallFarm({ rooms: [{ id: 'warm-room', name: 'Warm room', limits: { temperature } }], sensors: [sensor] });
const sensor = {
  ...({ id: 'warm-air', topic: 'warm/air', decoder: 'plain', at: 'warm-room', everyS: 60 } as const),
  channels: [{ quantity: 'temperature', unit: 'degC' } as const],
};

/** A day at 24 °C in which the room warms from noon on by 3 K an hour for two hours, and cools the same way. */
const warmSpell = Array.from({ length: 24 * 60 }, (_, minute) => {
  const hours = (minute - 720) / 60;
  return 24 + 3 * Math.max(0, 2 - Math.abs(hours - 2));
});
const recorded = recordedOf({
  'warm-air.temperature': readingsOf(from - dayMs, minuteMs, [...Array(1440).fill(24), ...warmSpell]),
});

const tested = (now: LimitBand, changed: LimitBand, more: Partial<BackTestInput> = {}) =>
  backTest({
    ...{ now: farmWith(now), changed: farmWith(changed), at: 'warm-room', measure: 'temperature' },
    ...{ from, to, recorded, held: [], pause: async () => {}, ...more },
  });
const at = (hours: number) => from + 12 * hourMs + hours * hourMs;
const minutes = (ms: number) => ms / minuteMs;

describe('a limit moved down', () => {
  it('rings earlier by as long as the room took between the two', async () => {
    const { pairs, now, changed } = await tested({ high: 28 }, { high: 27 });
    expect(now.episodes).toHaveLength(1);
    expect(changed.episodes).toHaveLength(1);
    // 1 K at 3 K/h is 20 min.
    expect(pairs).toEqual([expect.objectContaining({ leadMin: 20 })]);
    // Strictly above at the first reading past 28 °C, then a minute's delay.
    expect(minutes(now.episodes[0]!.raisedAt - at(4 / 3))).toBe(2);
    expect(now.episodes[0]!.peak).toBeCloseTo(30, 6);
  });

  it('sees more of what is beyond today’s limit, and never less', async () => {
    const { now, changed } = await tested({ high: 28 }, { high: 27 });
    expect(now.unseen).toBeGreaterThan(0);
    expect(now.unseen).toBeLessThan(0.01);
    expect(changed.unseen).toBe(0);
    expect(changed.heldMs - now.heldMs).toBe(40 * minuteMs);
  });
});

describe('a limit moved up', () => {
  it('rings later, and the exposure until then goes unseen', async () => {
    const { pairs, changed } = await tested({ high: 28 }, { high: 29 });
    expect(pairs[0]!.leadMin).toBe(-20);
    // Going up, 20 min from 28 to 29 and a minute or two of delay: 1/6 K·h and a little. Coming down it holds to
    // 28.8 and a minute on, so 0.75 K in 15 min is left: 0.09 K·h.
    expect(changed.unseen).toBeGreaterThan(0.25);
    expect(changed.unseen).toBeLessThan(0.32);
  });

  it('beyond what was reached rings never, and all of it goes unseen', async () => {
    const { pairs, changed } = await tested({ high: 28 }, { high: 31 });
    expect(pairs).toEqual([expect.objectContaining({ changed: null, leadMin: null })]);
    expect(changed.episodes).toEqual([]);
    expect(changed.unseen).toBeCloseTo((2 * 80) / 60 / 2, 2);
  });
});

describe('another limit at a time of day', () => {
  const { timeZone } = farmWith({}).file.site;
  const clock = (t: number) => new Date(t).toLocaleTimeString('en-GB', { timeZone, timeStyle: 'short' });

  it('holds back the alarm until it is over, and no longer', async () => {
    const during = [{ from: clock(at(1)), to: clock(at(2)), high: 31 }];
    const { pairs, changed } = await tested({ high: 28 }, { high: 28, during });
    // 82 min after noon as it is; at 120 min the air stands at 30 °C, and the delay of a minute begins.
    expect(minutes(changed.episodes[0]!.raisedAt - at(0))).toBe(121);
    expect(pairs).toEqual([expect.objectContaining({ leadMin: -39 })]);
  });

  it('of other days changes nothing', async () => {
    const weekday = new Date(from).toLocaleDateString('en-GB', { timeZone, weekday: 'short' }).toLowerCase();
    const days = (['mon', 'tue', 'wed', 'thu', 'fri', 'sat', 'sun'] as const).filter(
      (day) => day !== weekday,
    );
    const during = [{ days, from: clock(at(1)), to: clock(at(2)), high: 31 }];
    const { pairs } = await tested({ high: 28 }, { high: 28, during });
    expect(pairs).toEqual([expect.objectContaining({ leadMin: 0 })]);
  });
});

describe('an unload that was underway then', () => {
  const heldFor = (from: number, to: number) =>
    tested({ high: 28 }, { high: 28 }, { held: [{ room: 'warm-room', from: at(from), to: at(to) }] });

  it('holds the alarm back until it was over, and it rings where the room is still too warm', async () => {
    // 28 °C are passed from 80 min after noon until 160 min.
    const { now } = await heldFor(1, 2);
    expect(now.episodes).toMatchObject([{ raisedAt: at(2), suppressed: false }]);
  });

  it('answers all of it where the room was cool again by its end', async () => {
    expect((await heldFor(1, 3)).now.episodes).toMatchObject([{ suppressed: true }]);
  });

  it('unrings nothing that rang before the load was declared', async () => {
    const { now } = await heldFor(1.75, 3);
    expect(now.episodes).toMatchObject([{ raisedAt: at(0) + 82 * minuteMs, suppressed: false }]);
  });

  it('of another room changes nothing', async () => {
    const { pairs } = await tested(
      { high: 28 },
      { high: 28 },
      { held: [{ room: 'cold-room', from: at(0), to: at(6) }] },
    );
    expect(pairs).toEqual([expect.objectContaining({ leadMin: 0 })]);
  });
});

describe('nuisance', () => {
  const noisy = recordedOf({
    'warm-air.temperature': readingsOf(
      from - dayMs,
      minuteMs,
      Array.from({ length: 2 * 1440 }, (_, n) => (n > 2000 && n < 2100 ? 27.9 + 0.2 * (n % 2) : 24)),
    ),
  });

  it('a wider deadband and a delay turn fifty short alarms into one, or none', async () => {
    const short = { high: 28, onDelayS: 0, offDelayS: 0, deadband: 0.01 };
    const wide = await tested(short, { ...short, deadband: 0.5 }, { recorded: noisy });
    expect(wide.now.episodes.length).toBe(50);
    expect(wide.changed.episodes.length).toBe(1);
    const late = await tested(short, { ...short, onDelayS: 120 }, { recorded: noisy });
    expect(late.changed.episodes).toEqual([]);
    expect(late.changed.perWeek).toBe(0);
  });
});

describe('scope', () => {
  it('unchanged limits give the same alarms twice', async () => {
    const { now, changed, pairs } = await tested({ high: 28, highHigh: 29 }, { high: 28, highHigh: 29 });
    expect(changed).toEqual(now);
    expect(pairs.map(({ leadMin }) => leadMin)).toEqual([0, 0]);
  });

  it('takes in what is kept, and says from when', async () => {
    const report = await tested({ high: 28 }, { high: 27 }, { from: from - 30 * dayMs });
    expect(report.from).toBe(from - dayMs);
  });

  it('an alarm that holds as the span begins is shown', async () => {
    const report = await tested({ high: 28 }, { high: 28 }, { from: at(2) });
    expect(report.now.episodes).toHaveLength(1);
    expect(report.now.perWeek).toBe(0);
  });

  it('a limit of a quantity that nothing measures there is refused', async () => {
    await expect(tested({ high: 28 }, { high: 27 }, { measure: 'co2' })).rejects.toThrow(
      'Nothing in warm-room measures co2',
    );
  });

  it('a span without readings is refused', async () => {
    await expect(tested({ high: 28 }, { high: 27 }, { recorded: recordedOf({}) })).rejects.toThrow(
      'No readings are kept of that span',
    );
  });
});
