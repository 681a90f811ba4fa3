import fc from 'fast-check';
import { expect, test, vi } from 'vitest';
import { defaultRoom } from '../../shared/room/default-room.ts';
import { hourMs } from '../../shared/time.ts';
import { planUnload } from '../../shared/unload/plan.ts';
import type { PlanInput } from '../../shared/unload/plan-input.ts';
import type { UnloadPlan } from '../../shared/unloads.ts';
import { cohortsOf, otherLoads, planNow, planQuestion, surer } from '../tools/plan-question.ts';

vi.setConfig({ testTimeout: 120_000 });

const airs = fc.constantFrom('measured', 'never', 'silent since an hour', 'freezing', 'very hot');

/** Air of the last two days as a farm may have it, or may not. */
function withAir({ recent, ...question }: PlanInput, air: string): PlanInput {
  const { airC } = recent;
  const changed = airC.map((tempC, step) => {
    if (air === 'never') return Number.NaN;
    if (air === 'silent since an hour') return step > airC.length - 12 ? Number.NaN : tempC;
    return air === 'freezing' ? tempC - 30 : air === 'very hot' ? tempC + 18 : tempC;
  });
  const outsideC = air === 'never' ? changed : recent.outsideC;
  return { ...question, recent: { ...recent, airC: changed, outsideC } };
}

/** All numbers of a plan, with where they stand. */
function numbersIn(value: unknown, path = ''): [string, number][] {
  if (typeof value === 'number') return [[path, value]];
  if (typeof value !== 'object' || value === null) return [];
  return Object.entries(value).flatMap(([key, inner]) => numbersIn(inner, `${path}/${key}`));
}

function expectSound(plan: UnloadPlan, question: PlanInput): void {
  for (const [path, number] of numbersIn(plan))
    expect(Number.isFinite(number), `${path} ${number}`).toBe(true);
  for (const { value } of [...plan.air, ...plan.core, { value: plan.peak.tempC }]) {
    expect(value.low).toBeLessThanOrEqual(value.likely);
    expect(value.likely).toBeLessThanOrEqual(value.high);
  }
  // No room is heated past the load, nor run away with: the hottest thing in it is the load, or the day outside.
  const hottestC = Math.max(100, plan.beforeC + 5);
  expect(plan.peak.tempC.high).toBeLessThan(hottestC);
  for (const { value } of plan.core) expect(value.high).toBeLessThan(hottestC + 15);
  for (const { minutes } of plan.limits) {
    expect(minutes.low).toBeGreaterThanOrEqual(0);
    expect(minutes.high).toBeLessThanOrEqual(24 * 60 + 5);
  }
  const when = [plan.peak.at, plan.inoculateAt, plan.overAt].filter((one) => one !== null);
  for (const { earliest, likely, latest } of when) {
    expect(earliest).toBeGreaterThanOrEqual(planNow);
    expect(earliest).toBeLessThanOrEqual(likely);
    expect(likely).toBeLessThanOrEqual(latest);
  }
  const { fits, largest, split, betterAt, moveOut } = plan.advice;
  const { count } = question.load;
  expect(largest.count).toBeGreaterThanOrEqual(fits ? count : 0);
  expect(largest.count).toBeLessThanOrEqual(999);
  if (split !== null) expect(split.reduce((sum, part) => sum + part.count, 0)).toBe(count);
  if (betterAt !== null) expect(betterAt - planNow).toBeLessThanOrEqual(24 * hourMs);
  const racks = new Set(question.cohorts.map(({ rack }) => rack));
  for (const rack of moveOut ?? []) expect(racks).toContain(rack);
  for (const sentence of plan.assumed) expect(sentence).toMatch(/^[A-Z0-9].*\.$/);
}

test('whatever is asked of whatever room, an answer is finite, in order and within what heat can do', () => {
  const questions = fc.record({
    count: fc.integer({ min: 1, max: 999 }),
    startC: fc.oneof(fc.constant(null), fc.double({ min: -10, max: 125, noNaN: true })),
    aheadH: fc.double({ min: 0, max: 24, noNaN: true }),
    fan: fc.boolean(),
    extraCoolingW: fc.constantFrom(0, 800, 50_000),
    floorAreaM2: fc.double({ min: 3, max: 150, noNaN: true }),
    coolingW: fc.constantFrom(undefined, 200, 12_000),
    known: fc.constantFrom(1, 0.35),
    cohorts: fc.constantFrom(0, 6),
    air: airs,
    others: fc.boolean(),
  });
  const property = fc.property(questions, (asked) => {
    const room = defaultRoom(asked.floorAreaM2, asked.coolingW);
    const question = withAir(
      planQuestion({
        load: { container: 'block', count: asked.count, startC: asked.startC },
        options: { fan: asked.fan, extraCoolingW: asked.extraCoolingW },
        at: Math.round(planNow + asked.aheadH * hourMs),
        fit: asked.known === 1 ? room : surer(room, asked.known),
        cohorts: cohortsOf(asked.cohorts),
        ...(asked.others ? otherLoads : {}),
      }),
      asked.air,
    );
    expectSound(planUnload(question), question);
  });
  fc.assert(property, { seed: 20261129, numRuns: 20 });
});
