import { describe, expect, it } from 'vitest';
import { writingOf } from '../../../../../dashboard/web/format/value.ts';
import {
  type PlanDraft,
  presetOf,
  questionOf,
  temperatureOf,
} from '../../../../../dashboard/web/unload/plan-draft.ts';
import { fernhollow } from '../../../../browser/fixture/farm.ts';
import { fixtureNow } from '../../../../browser/fixture/live.ts';
import { pastAt } from '../../../../browser/fixture/unloads.ts';

const celsius = writingOf('temperature', 'C');
const fahrenheit = writingOf('temperature', 'F');
const known = { farm: fernhollow, now: fixtureNow, writing: celsius };
const preset = presetOf(fernhollow, []);
const ask = (part: Partial<PlanDraft>, more: Partial<typeof known> = {}) =>
  questionOf({ ...preset, ...part }, { ...known, ...more });

describe('the planner’s form', () => {
  it('opens like the last unload, or with a dozen blocks', () => {
    expect(presetOf(fernhollow, pastAt(fixtureNow))).toMatchObject({
      ...{ room: 'warm', container: 'block-2kg', count: '24', when: 'now', start: 'cycle' },
    });
    expect(preset).toMatchObject({ room: 'warm', container: 'block-2kg', count: '12' });
    const gone = pastAt(fixtureNow).map((one) => ({ ...one, room: 'attic' }));
    expect(presetOf(fernhollow, gone).room).toBe('warm');
  });

  it('makes a question as the planner takes it', () => {
    expect(ask({})).toEqual({
      ok: true,
      question: {
        ...{ room: 'warm', at: null, options: { fan: false, extraCoolingW: 0 } },
        load: { container: 'block-2kg', count: 12, startC: null },
      },
    });
    expect(
      // Fernhollow's clock is an hour ahead of UTC in November.
      ask({
        when: 'at',
        at: '2026-11-24T18:00',
        fan: true,
        cooling: '1,5',
        start: 'measured',
        startTemp: '96.5',
      }),
    ).toMatchObject({
      question: {
        ...{ at: Date.UTC(2026, 10, 24, 17), options: { fan: true, extraCoolingW: 1_500 } },
        load: { startC: 96.5 },
      },
    });
  });

  it.each([
    [{ count: '0' }, 'count'],
    [{ count: '2000' }, 'count'],
    [{ count: '1.5' }, 'count'],
    [{ count: 'many' }, 'count'],
    [{ start: 'measured', startTemp: '' }, 'startTemp'],
    [{ start: 'measured', startTemp: '126' }, 'startTemp'],
    [{ when: 'at', at: '' }, 'at'],
    [{ when: 'at', at: '2026-11-24T09:00' }, 'at'],
    [{ cooling: '-1' }, 'cooling'],
    [{ cooling: '51' }, 'cooling'],
    [{ room: 'attic' }, 'room'],
    [{ container: 'bucket' }, 'container'],
  ] as [Partial<PlanDraft>, string][])('says of %j what is wrong, at its field', (part, field) => {
    const result = ask(part);
    expect(result.ok ? [] : Object.keys(result.problems)).toEqual([field]);
  });

  it('says the range in the unit of the screen', () => {
    const result = ask({ start: 'measured', startTemp: '300' }, { writing: fahrenheit });
    expect(result.ok ? '' : result.problems.startTemp).toBe('From 14 to 257\u00a0°F.');
  });

  // Fixed points of both scales: water freezes at 32 °F and boils at 212 °F, and at −40 they meet.
  it.each([
    ['32', 0],
    ['212', 100],
    ['-40', -40],
  ])('reads %s °F as %d °C', (typed, tempC) => {
    expect(temperatureOf(typed, fahrenheit, [-50, 150])).toBeCloseTo(tempC, 9);
  });
});
