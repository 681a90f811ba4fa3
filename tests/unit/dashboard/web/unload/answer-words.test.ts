import { describe, expect, it } from 'vitest';
import { answerWords } from '../../../../../dashboard/web/unload/answer-words.ts';
import { hourMs } from '../../../../../shared/time.ts';
import type { UnloadPlan } from '../../../../../shared/unloads.ts';
import { fixtureNow } from '../../../../browser/fixture/live.ts';
import { planFor } from '../../../../browser/fixture/unloads.ts';

const at = (hours: number) => fixtureNow + hours * hourMs;
const around = (likely: number) => ({
  earliest: at(likely - 0.5),
  likely: at(likely),
  latest: at(likely + 1),
});
const band = (low: number, likely: number, high: number) => ({ low, likely, high });

const small: UnloadPlan = {
  ...planFor(
    {
      ...{ room: 'warm', at: null, options: { fan: false, extraCoolingW: 0 } },
      load: { container: 'block-2kg', count: 40, startC: null },
    },
    fixtureNow,
  ),
  peak: { tempC: band(28.6, 29.4, 30.3), at: around(0.3) },
  inoculateAt: around(7),
  inoculateBelowC: 27,
  surface: { startC: 95, cautionC: 60, safeAt: at(0.8) },
};
const say = (part: Partial<UnloadPlan>, temperature: 'C' | 'F' = 'C') =>
  answerWords(
    { ...small, ...part },
    { now: fixtureNow, zone: 'Europe/Berlin', temperature, batchName: (batch) => batch },
  );
const advice = (part: Partial<UnloadPlan['advice']>): Partial<UnloadPlan> => ({
  advice: {
    ...{ fits: false, largest: { count: 24, limitedBy: 'K710 would pass what it stands' } },
    ...{ split: null, betterAt: null, moveOut: null },
    ...part,
  },
});

describe('an answer in words', () => {
  it('says peak, harm and verdict as one would', () => {
    const words = say({});
    expect(words.peak).toBe(
      'At its warmest the room gets to 29.4\u00a0°C (28.6–30.3), between 14:20 and 15:50.',
    );
    expect(words.harm).toBe('Two batches pass what they stand: K710 (B1), K711 (B1).');
    expect(words.verdict).toBe('40 at once are too many now');
    expect(words.bad).toBe(true);
    expect(words.cool).toBe(
      'Cool enough to inoculate (27\u00a0°C at the core) between 21:02 and 22:32, likely 21:32.',
    );
    expect(words.surface).toBe('95\u00a0°C at the surface: gloves, no bare hands until about 15:20.');
  });

  it('says one instant of a peak only where it is one', () => {
    const soon = { earliest: at(0.2), likely: at(0.3), latest: at(0.5) };
    expect(say({ peak: { ...small.peak, at: soon } }).peak).toMatch(/ \(28\.6–30\.3\), about 14:50\.$/);
    expect(say({ beforeC: 29.4 }).peak).toBe(
      'The room gets no warmer than the 29.4\u00a0°C that it has (30.3 at worst).',
    );
  });

  it('names the most exposed of many, and says what is likely apart from what may be', () => {
    const [first] = small.cohorts;
    const many = (count: number, likely: number) =>
      Array.from({ length: count }, (_, at) => ({
        ...first!,
        ...{ cohort: `K${at}/1`, batch: `K${at}`, after: band(0, likely, 4), over: true },
      }));
    expect(say({ cohorts: many(9, 0.3) }).harm).toBe(
      'Nine batches may pass what they stand: K0 (B1), K1 (B1), K2 (B1), K3 (B1), K4 (B1) and 4 more.',
    );
    expect(say({ cohorts: many(6, 1.3) }).harm).toMatch(/^Six batches pass .*, K5 \(B1\)\.$/);
    expect(say({ cohorts: many(1, 0.3) }).harm).toBe('One batch may pass what it stands: K0 (B1).');
  });

  it('says of a limit that may not be passed at all only how long at worst', () => {
    const limits = [{ name: 'high limit', limitC: 28, minutes: { low: 0, likely: 97, high: 1440 } }];
    expect(say({ limits }).limits).toEqual([
      'Above high limit 28\u00a0°C for 1\u00a0h 37\u00a0min; at worst for 1\u00a0d.',
    ]);
  });

  it('says from when on the room is back only where it leaves what it was', () => {
    expect(say({ at: fixtureNow, overAt: around(3) }).back).toBe('The room is back between 17:02 and 18:32.');
    const hardly = { earliest: at(0.01), likely: at(1), latest: at(4) };
    expect(say({ at: fixtureNow, overAt: hardly }).back).toBe('The room is back by 18:32.');
    expect(say({ overAt: null }).back).toBeNull();
  });

  it('counts a batch once, however many of its cohorts stand there', () => {
    const [first] = small.cohorts;
    expect(say({ cohorts: [first!, { ...first!, cohort: 'K710/5', shelf: 'A2' }] }).harm).toBe(
      'One batch passes what it stands: K710 (B1, A2).',
    );
    expect(say({ cohorts: [] }).harm).toBe('Nothing stands there that it could harm.');
    expect(say({ cohorts: [{ ...first!, over: false }] }).harm).toBe(
      'Nothing that stands there passes what it stands.',
    );
    const largest = { count: 24, limitedBy: "the room's outer high limit of 32.0 °C" };
    const only = { cohorts: [{ ...first!, over: false }] };
    expect(say({ ...only, ...advice({ largest }) }, 'F').harm).toBe(
      "Nothing that stands there passes what it stands, but the air may pass the room's outer high limit of 89.6\u00a0°F.",
    );
    expect(say({ ...only, ...advice({ fits: true, largest }) }).harm).toMatch(/stands\.$/);
  });

  it('offers every way, and what each changes in the question', () => {
    const split = [
      { count: 24, at: fixtureNow },
      { count: 16, at: at(3.5) },
    ];
    expect(say(advice({ split, betterAt: at(14.5), moveOut: ['B'] })).ways).toEqual([
      { words: 'Bring in 24 now and 16 at 18:02', change: { count: '24', when: 'now' } },
      {
        words: 'Better at Wed 25 05:02, all at once',
        change: { when: 'at', at: '2026-11-25T05:02' },
      },
      { words: 'Move rack B out first', change: null },
    ]);
  });

  it('offers fewer where no split does, and nothing where none may come in', () => {
    expect(say(advice({})).ways).toEqual([{ words: 'Bring in 24 only', change: { count: '24' } }]);
    const none = say(advice({ largest: { count: 0, limitedBy: "the room's high limit of 28.0 °C" } }));
    expect(none.ways).toEqual([]);
    expect(none.verdict).toBe('Even one is too much now');
    expect(none.largest).toBe("None may come in, limited by the room's high limit of 28.0\u00a0°C.");
  });

  it('says that it fits, at the hour asked about', () => {
    const fits = { ...advice({ fits: true, moveOut: [] }), at: at(14.5) };
    expect(say(fits)).toMatchObject({ verdict: 'All 40 may come in at Wed 25 05:02', bad: false, ways: [] });
  });

  it('says limits with how long, and that none is passed', () => {
    const limits = [{ name: 'limit', limitC: 28, minutes: band(90, 130, 180) }];
    expect(say({ limits }).limits).toEqual([
      'Above limit 28\u00a0°C for 2\u00a0h 10\u00a0min (1\u00a0h 30\u00a0min to 3\u00a0h).',
    ]);
    expect(say({ limits: [] }).limits).toEqual(['It stays below every limit of the room.']);
  });

  it('leaves out limits that are not reached, and says what is unlikely as such', () => {
    const never = { name: 'outer high limit', limitC: 32, minutes: band(0, 0, 0) };
    expect(say({ limits: [never] }).limits).toEqual(['It stays below every limit of the room.']);
    expect(say({ limits: [{ ...never, minutes: band(0, 0, 40) }] }).limits).toEqual([
      'Hardly above outer high limit 32\u00a0°C; at worst for 40\u00a0min.',
    ]);
  });

  it('speaks of no peak where the room gets no warmer than it is', () => {
    const peak = { tempC: band(29.4, 29.4, 29.7), at: around(0) };
    expect(say({ peak, beforeC: 29.4 }).peak).toBe(
      'The room gets no warmer than the 29.4\u00a0°C that it has (29.7 at worst).',
    );
  });

  it('says what is not foreseen', () => {
    expect(say({ inoculateAt: null }).cool).toMatch(/^Does not get down to 27\u00a0°C/);
    expect(say({ surface: { startC: 95, cautionC: 60, safeAt: null } }).surface).toBe(
      '95\u00a0°C at the surface: gloves, no bare hands.',
    );
    expect(say({ surface: { startC: 45, cautionC: 60, safeAt: null } }).surface).toBe(
      '45\u00a0°C at the surface.',
    );
  });

  it('speaks Fahrenheit where the screen does', () => {
    const words = say({ limits: [{ name: 'limit', limitC: 28, minutes: band(9, 13, 18) }] }, 'F');
    expect(words.peak).toBe(
      'At its warmest the room gets to 84.9\u00a0°F (83.5–86.5), between 14:20 and 15:50.',
    );
    expect(words.limits[0]).toMatch(/^Above limit 82\.4\u00a0°F/);
    expect(words.cool).toContain('80.6\u00a0°F');
    expect(words.surface).toContain('203\u00a0°F');
  });
});
