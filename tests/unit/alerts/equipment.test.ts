import { expect, test } from 'vitest';
import { alarmSite, smallFarm } from '../../tools/alarm-site.ts';

const warm = 'warm-air.temperature';

/** Half a day and more of a thermostat that keeps 24 °C within 0.4 K: what is usual there. */
function settled() {
  const site = alarmSite(
    smallFarm({
      rooms: [
        { id: 'warm-room', name: 'Warm room', limits: { temperature: { low: 18, high: 30 } }, racks: [] },
      ],
      sensors: [
        {
          ...{ id: 'warm-air', topic: 'warm/air', decoder: 'plain', at: 'warm-room', everyS: 120 },
          channels: [{ quantity: 'temperature', unit: 'degC' }],
        },
      ],
    }),
  );
  let n = 0;
  const hold = (minutes: number, level: (minute: number) => number) => {
    for (let minute = 0; minute < minutes; minute += 2) {
      site.clock.advanceBy(120_000);
      n += 1;
      site.say(warm, level(minute) + 0.4 * Math.sin(n / 2));
    }
  };
  hold(16 * 60, () => 24);
  return { site, hold };
}

test.each([
  [
    'cooling',
    25.8,
    /^Warm room: cooling seems to have no effect, 1\.\d K warmer than it usually gets \(24\.\d °C\)$/,
  ],
  [
    'heating',
    22.2,
    /^Warm room: heating seems to have no effect, 1\.\d K colder than it usually gets \(23\.\d °C\)$/,
  ],
] as const)(
  '%s that has no effect rings long before a limit does, and ends with it',
  (what, level, title) => {
    const { site, hold } = settled();
    const alarm = `no-${what}/warm-room`;
    const towards = (minute: number) => 24 + (level - 24) * Math.min(1, minute / 20);
    hold(30, towards);
    expect(site.state(alarm)).toBe('normal');
    hold(50, () => level);
    expect(site.book.view(alarm)).toMatchObject({ state: 'unacknowledged', room: 'warm-room' });
    expect(site.book.view(alarm).title).toMatch(title);
    expect(site.state('high/warm-room.temperature')).toBe('normal');
    expect(site.state('low/warm-room.temperature')).toBe('normal');
    hold(40, () => 24);
    expect(site.state(alarm)).toBe('returned-unacknowledged');
  },
);

test('a door that stands open for half an hour is no failure of the cooler', () => {
  const { site, hold } = settled();
  hold(30, () => 25.8);
  hold(60, () => 24);
  expect(site.events('no-cooling/warm-room')).toEqual([]);
});
