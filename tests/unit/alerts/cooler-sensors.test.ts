import { expect, test } from 'vitest';
import { healthAlarms } from '../../../alerts/definitions/health.ts';
import { measuredPlaces } from '../../../alerts/definitions/limits.ts';
import { silenceAlarms } from '../../../alerts/definitions/silences.ts';
import { roomAirChannels } from '../../../shared/air/room-channels.ts';
import { alarmSite, readingOf, smallFarm } from '../../tools/alarm-site.ts';

const cooler = (id: string, unit: 'state' | '%') => ({
  ...{ id, topic: id, decoder: 'plain' as const, at: 'warm-room', everyS: 30 },
  channels: [{ quantity: 'cooler-on' as const, unit }],
});
const air = (id: string) => ({
  ...{ id, topic: id, decoder: 'plain' as const, at: 'warm-room', everyS: 30 },
  channels: [{ quantity: 'temperature' as const, unit: 'degC' as const }],
});
const farm = smallFarm({ sensors: [air('w1'), air('w2'), cooler('one', 'state'), cooler('two', '%')] });

test('a cooler that runs for hours, beside one that switches all the time, is neither suspect nor rings', () => {
  const site = alarmSite(farm);
  const qualities = new Set<string>();
  const say = (channel: string, value: number) => {
    const [reading] = site.book.appraise([readingOf(channel, value, site.clock.now())]);
    qualities.add(reading!.quality);
    site.read(reading!);
  };
  for (let half = 0; half < 6 * 120; half += 1) {
    site.run(30);
    // The air moves by degrees meanwhile, as beside a sensor that is stuck.
    const tempC = 24 + 2 * Math.sin(half / 40);
    say('w1.temperature', tempC);
    say('w2.temperature', tempC + 0.1);
    say('one.cooler-on', half < 20 ? 0 : 100);
    say('two.cooler-on', half % 2 === 0 ? 0 : 100);
  }
  expect([...qualities]).toEqual(['good']);
  expect(site.book.views()).toEqual([]);
});

test('silence and what cannot be are told, as of a cooler and not of air', () => {
  const site = alarmSite(farm);
  const say = (quality: 'good' | 'out-of-range') =>
    site.run(30, () => {
      if (site.clock.now() % 30_000 !== 0) return;
      for (const channel of ['w1.temperature', 'w2.temperature'])
        site.say(channel, site.clock.now() % 60_000 === 0 ? 24 : 24.1);
      site.say('two.cooler-on', quality === 'good' ? 100 : 400, { quality });
    });
  for (let half = 0; half < 6; half += 1) say('good');
  expect(site.book.views()).toMatchObject([
    {
      id: 'silent/one',
      priority: 3,
      consequence: expect.stringMatching(/learned from its air alone/),
      advice: expect.stringMatching(/licensed electrician/),
    },
  ]);
  for (let half = 0; half < 4; half += 1) say('out-of-range');
  expect(site.state('unusable/two.cooler-on')).toBe('unacknowledged');
});

test('it is watched for nothing else, has no limits, and is never taken for air', () => {
  const own = healthAlarms(farm).filter(({ id }) => id.includes('cooler-on'));
  expect(own.map(({ id }) => id)).toEqual(['unusable/one.cooler-on', 'unusable/two.cooler-on']);
  expect(measuredPlaces(farm).map(({ key }) => key)).not.toContain('warm-room.cooler-on');
  expect(roomAirChannels(farm, 'warm-room').map(({ id }) => id)).toEqual([
    'w1.temperature',
    'w2.temperature',
  ]);
  // One that also tells the air is missed as any sensor of air is.
  const both = smallFarm({
    sensors: [
      {
        ...{ id: 'unit', topic: 'unit', decoder: 'json', at: 'warm-room' },
        channels: [
          { quantity: 'temperature', unit: 'degC', pointer: '/t' },
          { quantity: 'cooler-on', unit: 'state', pointer: '/on' },
        ],
      },
    ],
  });
  const words = (id: string) => silenceAlarms(both).find((one) => one.id === id)!.consequence;
  expect(words('silent/unit')).toMatch(/Nobody knows the air/);
  expect(words('silent-channel/unit.cooler-on')).toMatch(/learned from its air alone/);
});
