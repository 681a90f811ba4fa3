import { describe, expect, it } from 'vitest';
import { raised } from '../../../collector/forecast/coming.ts';
import { futureOf } from '../../../collector/forecast/future.ts';
import { rowLengthH } from '../../../collector/forecast/rows.ts';
import { createComing, warmthOf } from '../../../collector/unloads/coming.ts';
import { newDayProfile } from '../../../shared/air/day-profile.ts';
import { hourMs, minuteMs } from '../../../shared/time.ts';
import { planUnload } from '../../../shared/unload/plan.ts';
import { planNow, planQuestion } from '../../tools/plan-question.ts';

const startT = planNow;
const plain = futureOf(newDayProfile(), startT);

describe('warmth that is to come', () => {
  const plan = planUnload(planQuestion({ count: 120 }));
  const warmth = {
    room: 'spawn',
    from: startT + 3 * hourMs,
    stepMs: hourMs / 2,
    riseK: [4, 4, 3, 1],
    sdK: [1, 1, 0.5, 0.5],
  };

  it('raises the hours it falls in by their share of it, and no others', () => {
    const { tempC } = raised(plain, startT, [warmth]);
    const addedKh = tempC.reduce((sum, c, row) => sum + (c - plain.tempC[row]!) * rowLengthH[row]!, 0);
    expect(addedKh).toBeCloseTo(6, 9);
    expect(tempC[0]).toBe(plain.tempC[0]);
    expect(tempC[1]! - plain.tempC[1]!).toBeCloseTo((4 * 1) / 2, 9);
    expect(tempC[3]).toBe(plain.tempC[3]);
  });

  it('is as unsure as the plan, all of a load at once, and that fades among the hours ahead', () => {
    const own = (hours: number) =>
      Math.sqrt(raised(plain, startT, [warmth]).sdOver(hours) ** 2 - plain.sdOver(hours) ** 2);
    expect(own(3)).toBeCloseTo(0, 6);
    expect(own(4)).toBeCloseTo(1 / 4, 6);
    expect(own(10)).toBeCloseTo(1.5 / 10, 6);
    const both = raised(plain, startT, [warmth, warmth]).sdOver(10);
    expect(both).toBeCloseTo(Math.hypot(plain.sdOver(10), 0.15, 0.15), 9);
    const { sdK, riseK } = warmthOf(plan);
    expect(sdK.length).toBe(riseK.length);
    expect(Math.max(...sdK)).toBeGreaterThan(0.1 * Math.max(...riseK));
    expect(Math.max(...sdK)).toBeLessThan(Math.max(...riseK));
  });

  it('adds up, and leaves what it was given as it was', () => {
    const before = plain.tempC.slice();
    const one = raised(plain, startT, [warmth]).tempC;
    const two = raised(plain, startT, [warmth, warmth]).tempC;
    two.forEach((c, row) => {
      expect(c - before[row]!).toBeCloseTo(2 * (one[row]! - before[row]!), 9);
    });
    expect(plain.tempC).toEqual(before);
    expect(raised(plain, startT, [])).toBe(plain);
  });

  it('is what the plan of a scheduled load expects, and is forgotten with it', async () => {
    const { riseK, from } = warmthOf(plan);
    expect(from).toBe(plan.at);
    expect(Math.max(...riseK)).toBeGreaterThan(0.5);
    expect(Math.max(...riseK)).toBeLessThan(plan.peak.tempC.high - plan.beforeC + 0.1);

    const load = { id: 'u1', room: 'spawn', at: plan.at, load: plan.load, options: plan.options };
    let scheduled = [
      {
        ...load,
        stage: 'scheduled',
        hasBegun: false,
        endedAt: null,
        who: 'Ida',
        probes: [],
        measured: [],
      } as const,
    ];
    const told: number[] = [];
    const coming = createComing({
      now: () => planNow - 30 * minuteMs,
      scheduled: () => scheduled.map((one) => ({ ...one, probes: [], measured: [] })),
      plan: async () => plan,
      onComing: (list) => told.push(list.length),
      onProblem: (thrown) => {
        throw thrown;
      },
    });
    await coming.look();
    scheduled = [];
    await coming.look();
    expect(told).toEqual([1, 0]);
  });

  it('one that cannot be planned hides none of the others', async () => {
    const options = { fan: false, extraCoolingW: 0 };
    const scheduled = ['gone', 'block'].map((container) => ({
      ...{ id: container, room: 'spawn', at: plan.at, load: { container, count: 1, startC: null }, options },
      ...{
        stage: 'scheduled' as const,
        hasBegun: false,
        endedAt: null,
        who: 'Ida',
        probes: [],
        measured: [],
      },
    }));
    const told: number[] = [];
    const problems: unknown[] = [];
    await createComing({
      now: () => planNow - 30 * minuteMs,
      scheduled: () => scheduled,
      plan: async ({ load }) => {
        if (load.container === 'gone') throw new Error('no such container');
        return plan;
      },
      onComing: (list) => told.push(list.length),
      onProblem: (thrown) => problems.push(thrown),
    }).look();
    expect(told).toEqual([1]);
    expect(problems).toHaveLength(1);
  });
});
