import { describe, expect, it } from 'vitest';
import type { CohortForecast } from '../../../shared/forecasts.ts';
import type { FarmView } from '../../../shared/live.ts';
import { dayMs } from '../../../shared/time.ts';
import { today } from '../../../shared/today.ts';

const now = 1_000 * dayMs;
const noLimits = { low: null, high: null };
const room = (id: string, racks: Record<string, string[]>): FarmView['rooms'][number] => ({
  id,
  name: id,
  limits: { temperature: noLimits, humidity: noLimits },
  channels: [],
  racks: Object.entries(racks).map(([rack, shelves]) => ({
    id: rack,
    name: rack,
    shelves: shelves.map((shelf) => ({ id: shelf, places: 9, channels: [] })),
  })),
});
// The farm file's order is the walking order, not the alphabet's.
const farm = { rooms: [room('warm', { B: ['B1', 'B2'], A: ['A1'] }), room('cool', { C: ['C1'] })] };

let made = 0;
function forecast(shelf: string | null, bags: number, more: Partial<CohortForecast> = {}): CohortForecast {
  made += 1;
  const batch = `K${String(made).padStart(3, '0')}`;
  return {
    cohort: `${batch}/1`,
    batch,
    bags: Array.from({ length: bags }, (_, at) => at + 1),
    shelf,
    asOf: now,
    share: { low: 0.2, likely: 0.3, high: 0.4 },
    coreTempC: 24,
    thermalDays: 5,
    degreeDays: 90,
    heat: { equivalentHours: 0, hoursAboveWarm: 0, recentHours: 0, perHour: 0 },
    shake: { state: 'never', opens: null, best: null, closes: null, gainDays: null },
    ready: { state: 'growing', at: null, seen: false },
    useBy: { at: null, state: 'good' },
    air: 'measured',
    marks: [],
    assumed: [],
    notes: [],
    ...more,
  };
}
const shakeable = (gainDays: number, closesInDays: number): Partial<CohortForecast> => {
  const at = now + closesInDays * dayMs;
  const closes = { earliest: at - dayMs, likely: at, latest: at + dayMs };
  return { marks: ['shake'], shake: { state: 'best', opens: null, best: null, closes, gainDays } };
};

describe('today', () => {
  it('counts bags by task and names shelves in the order of the farm file', () => {
    const forecasts = [
      forecast(null, 1, shakeable(1, 2)),
      forecast('C1', 3, shakeable(2, 1)),
      forecast('A1', 4, shakeable(2.8, 3)),
      forecast('B2', 2, shakeable(1.5, 4)),
    ];
    const { groups } = today(farm, forecasts, now);
    expect(groups).toHaveLength(1);
    expect(groups[0]).toMatchObject({ task: 'shake', bags: 10 });
    expect(groups[0]?.places.map(({ shelf, room: at, bags }) => [shelf, at, bags])).toEqual([
      ['B2', 'warm', 2],
      ['A1', 'warm', 4],
      ['C1', 'cool', 3],
      [null, null, 1],
    ]);
  });

  it('gathers the cohorts of one shelf, with the first date and the largest gain', () => {
    const { groups } = today(
      farm,
      [forecast('A1', 4, shakeable(2.8, 3)), forecast('A1', 2, shakeable(4.1, 2))],
      now,
    );
    expect(groups[0]?.places).toHaveLength(1);
    expect(groups[0]?.places[0]).toMatchObject({ bags: 6, gainDays: 4.1, by: now + 2 * dayMs });
    expect(groups[0]?.places[0]?.cohorts).toHaveLength(2);
  });

  it('asks to use only what is ready and soon past its use-by, and counts the rest as ready', () => {
    const soon = { marks: ['ready' as const], useBy: { at: now + 2 * dayMs, state: 'soon' as const } };
    const good = { marks: ['ready' as const], useBy: { at: now + 9 * dayMs, state: 'good' as const } };
    const plan = today(farm, [forecast('A1', 2, soon), forecast('C1', 5, good)], now);
    expect(plan.groups.map(({ task, bags }) => [task, bags])).toEqual([['use', 2]]);
    expect(plan.groups[0]?.places[0]?.by).toBe(now + 2 * dayMs);
    expect(plan.readyBags).toBe(7);
  });

  it('asks neither to shake nor to use what is too old', () => {
    const old = forecast('A1', 2, {
      ...shakeable(1, 1),
      marks: ['shake', 'ready', 'too-old'],
      useBy: { at: now - dayMs, state: 'past' },
    });
    const plan = today(farm, [old], now);
    expect(plan.groups.map(({ task }) => task)).toEqual(['too-old']);
    expect(plan.readyBags).toBe(0);
  });

  it('lists a bag that ran hot beside its other task', () => {
    const hot = forecast('B1', 2, { ...shakeable(1, 1), marks: ['shake', 'ran-hot'] });
    const plan = today(farm, [hot, forecast('C1', 1, { marks: ['look'] })], now);
    expect(plan.groups.map(({ task, bags }) => [task, bags])).toEqual([
      ['shake', 2],
      ['look', 3],
    ]);
    expect(plan.groups[1]?.places.map(({ ranHot }) => ranHot)).toEqual([true, false]);
  });

  it('names the growing cohort that is ready next, passing over dates gone by', () => {
    const readyIn = (days: number) => {
      const at = now + days * dayMs;
      return {
        ready: { state: 'growing' as const, at: { earliest: at, likely: at, latest: at }, seen: false },
      };
    };
    const plan = today(
      farm,
      [forecast('A1', 1, readyIn(4)), forecast('C1', 3, readyIn(2)), forecast('B1', 2, readyIn(-1))],
      now,
    );
    expect(plan.next).toMatchObject({ shelf: 'C1', bags: 3, at: now + 2 * dayMs });
  });

  it('leaves out cohorts without bags, and has nothing to say of an empty farm', () => {
    expect(today(farm, [forecast('A1', 0, shakeable(1, 1))], now).groups).toEqual([]);
    expect(today(farm, [], now)).toEqual({ groups: [], readyBags: 0, next: null });
  });
});
