import { describe, expect, test } from 'vitest';
import { definitionsOf } from '../../../alerts/definitions/definitions.ts';
import { limitedBands } from '../../../alerts/tuning/bands.ts';
import type { FarmFileInput } from '../../../shared/farm/schema.ts';
import { alarmSite, readingOf, smallFarm } from '../../tools/alarm-site.ts';

const warm = 'warm-air.temperature';

/** The small farm whose warm room has other limits. */
const farmWith = (limits: NonNullable<FarmFileInput['rooms'][number]['limits']>) => {
  const [room, ...rest] = smallFarm().file.rooms;
  return smallFarm({ rooms: [{ ...room!, limits }, ...rest] });
};
const shown = (site: ReturnType<typeof alarmSite>) => site.book.views().map(({ title }) => title);

describe('limits by time of day', () => {
  const farm = farmWith({
    temperature: {
      high: 28,
      highHigh: 36,
      during: [{ days: ['mon'], from: '10:00', to: '12:00', high: 34 }],
    },
  });

  test('a room that is allowed warmer for hours rings neither then nor right after, but once it should have cooled', () => {
    const site = alarmSite(farm);
    // Monday 06:00 UTC is 07:00 in London.
    site.hold({ [warm]: 27 }, 3 * 3600);
    site.hold({ [warm]: 31 }, 2 * 3600);
    expect(shown(site)).toEqual([]);
    site.hold({ [warm]: 31 }, 90);
    expect(shown(site)).toEqual(['Warm room too warm: 31.0 °C, limit 28']);
  });

  test('outside its hours the usual limit holds', () => {
    const site = alarmSite(farm);
    site.hold({ [warm]: 31 }, 120);
    expect(shown(site)).toEqual(['Warm room too warm: 31.0 °C, limit 28']);
  });

  test('a level that holds only at certain times is silent at others', () => {
    const site = alarmSite(
      farmWith({ temperature: { predict: false, during: [{ from: '22:00', to: '06:00', low: 20 }] } }),
    );
    site.hold({ [warm]: 15 }, 600);
    expect(shown(site)).toEqual([]);
    site.clock.advanceTo(Date.UTC(2026, 4, 4, 21, 30));
    site.book.tick(site.clock.now());
    site.hold({ [warm]: 15 }, 120);
    // Beside it stands that the clock went ahead.
    expect(shown(site)).toContain('Warm room too cold: 15.0 °C, limit 20');
  });
});

describe('what is computed', () => {
  const speak = (site: ReturnType<typeof alarmSite>, tempC: number, rh: number, seconds: number) => {
    for (let n = 0; n < seconds; n += 30) {
      site.run(30);
      const t = site.clock.now();
      site.read(
        readingOf(warm, tempC, t),
        readingOf('warm-air.humidity', rh, t),
        readingOf('a1.temperature', 24, t),
        readingOf('a2.temperature', 24, t),
      );
    }
  };

  test('dew point and VPD have limits like anything measured', () => {
    const site = alarmSite(farmWith({ 'dew-point': { high: 21 }, vpd: { low: 0.2 } }));
    speak(site, 25, 60, 180);
    expect(shown(site)).toEqual([]);
    // 25 °C and 95 %: dew point 24.1 °C, VPD 0.158 kPa (ASHRAE 2017 saturation, by psychrolib).
    speak(site, 25, 95, 120);
    expect(shown(site).sort()).toEqual([
      'Warm room air hardly takes up water: 0.16 kPa, limit 0.2',
      'Warm room dew point too high: 24.1 °C, limit 21',
    ]);
  });

  test('a humidity that belongs to another time says nothing of the air now', () => {
    const site = alarmSite(farmWith({ 'dew-point': { high: 21 } }));
    speak(site, 25, 95, 30);
    for (let n = 0; n < 6; n += 1) {
      site.run(30);
      site.say(warm, 25);
    }
    expect(shown(site).filter((title) => title.includes('dew'))).toEqual([]);
  });

  test('a fast rise is told by its rate, and by its limit once that is reached', () => {
    const site = alarmSite(farmWith({ temperature: { high: 28, risePerH: 6 } }));
    site.hold({ [warm]: 22 }, 1200);
    for (let n = 0; n < 20; n += 1) site.hold({ [warm]: 22 + n / 8 }, 30);
    expect(shown(site)).toEqual([
      expect.stringMatching(/^Warm room rises fast: \d+\.\d °C\/h, limit 6\.0 °C\/h$/),
    ]);
    for (let n = 20; n < 60; n += 1) site.hold({ [warm]: 22 + n / 8 }, 30);
    const [first, ...rest] = site.book.views();
    expect(first!.title).toMatch(/^Warm room too warm: 29\.\d °C, limit 28$/);
    expect(rest.map(({ id, state }) => [id, state])).toEqual([
      ['rises-fast/warm-room.temperature', 'suppressed'],
    ]);
  });
});

test('a band says its priority for its plain limits; the outer ones are one step more urgent', () => {
  const site = alarmSite(farmWith({ temperature: { high: 28, highHigh: 32, priority: 3 } }));
  expect(site.book.view('high/warm-room.temperature').priority).toBe(3);
  expect(site.book.view('high-high/warm-room.temperature').priority).toBe(2);
});

test('how soon it rings again and how long it may be shelved are the farm’s to say, also of its warnings', () => {
  const farm = farmWith({
    temperature: { high: 28, reAlarmMin: 30, shelveCapMin: 90 },
    humidity: { high: 80 },
  });
  const { signals } = definitionsOf(farm);
  const ruleOf = (id: string) => signals.find((one) => one.id === id)?.rule;
  const said = { reAlarmMs: 30 * 60_000, shelveCapMs: 90 * 60_000 };
  expect(ruleOf('high/warm-room.temperature')).toMatchObject(said);
  expect(ruleOf('predicted-high/warm-room.temperature')).toMatchObject({ ...said, endsItself: true });
  expect(ruleOf('high/warm-room.humidity')).toMatchObject({ reAlarmMs: null, shelveCapMs: 480 * 60_000 });
  const never = definitionsOf(farmWith({ temperature: { high: 28, reAlarmMin: false } })).signals;
  expect(never.find(({ id }) => id === 'high/warm-room.temperature')?.rule.reAlarmMs).toBeNull();
});

test('a shelf that goes by its room is listed with the room’s limits, so that it may get its own', () => {
  const bands = limitedBands(smallFarm()).filter(({ measure }) => measure === 'temperature');
  const seen = bands.map(({ at, inherited, holds, written, alarms }) => [
    ...[at, inherited, holds.high, written.high, alarms.length],
  ]);
  expect(seen).toEqual([
    ['warm-room', false, 28, 28, 3],
    ['A1', true, 28, undefined, 0],
    ['A2', false, 26, 26, 3],
  ]);
});

test('what the farm file says of an alarm stands in it', () => {
  const site = alarmSite(
    farmWith({
      temperature: {
        high: 28,
        latching: true,
        advice: 'Open the north vent.',
        consequence: 'The shiitake is lost.',
        respondWithinMin: 15,
        onDelayS: 0,
        deadband: 2,
      },
    }),
  );
  site.hold({ [warm]: 28.1 }, 30);
  expect(site.book.view('high/warm-room.temperature')).toMatchObject({
    state: 'unacknowledged',
    advice: 'Open the north vent.',
    consequence: 'The shiitake is lost.',
    respondWithinMin: 15,
  });
  site.hold({ [warm]: 26.1 }, 180);
  expect(site.state('high/warm-room.temperature')).toBe('unacknowledged');
  site.hold({ [warm]: 25.9 }, 180);
  expect(site.state('high/warm-room.temperature')).toBe('latched-unacknowledged');
});

test('outside air has no limits: a winter night rings nothing, and nothing is to be set there', () => {
  const { sensors } = smallFarm().file;
  const outside = { ...sensors[1]!, id: 'yard', topic: 'yard', at: 'outside' };
  const farm = smallFarm({ sensors: [...sensors, outside] });
  const ids = definitionsOf(farm).signals.map(({ id }) => id);
  expect(ids).toContain('stuck/yard.temperature');
  expect(ids.filter((id) => /^(predicted-)?(high|low)(-high|-low)?\/outside/.test(id))).toEqual([]);
  expect(limitedBands(farm).filter(({ at }) => at === 'outside')).toEqual([]);
});
