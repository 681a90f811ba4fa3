import { describe, expect, test } from 'vitest';
import { alarmSite, readingOf, smallFarm } from '../../tools/alarm-site.ts';

const warm = 'warm-air.temperature';
type Site = ReturnType<typeof alarmSite>;

/** A reading on the site's whole way: marked, stored, judged. */
function take(site: Site, channel: string, value: number, more = {}) {
  const [reading] = site.book.appraise([readingOf(channel, value, site.clock.now(), more)]);
  site.read(reading!);
  return reading!.quality;
}
const others = (site: Site) => {
  take(site, 'a1.temperature', 24);
  take(site, 'a2.temperature', 24);
};
const shown = (site: Site) => site.book.views().map(({ id, state }) => `${id} ${state}`);

describe('readings that cannot be used', () => {
  test('three in a row ring, the first usable one ends it', () => {
    const site = alarmSite();
    const id = `unusable/${warm}`;
    for (const quality of ['out-of-range', 'out-of-range', 'out-of-range']) {
      expect(shown(site)).toEqual([]);
      site.run(10);
      take(site, warm, 900, { quality });
    }
    expect(site.book.view(id)).toMatchObject({
      state: 'unacknowledged',
      title: 'Sensor warm-air, temperature cannot measure: 3 unusable readings in a row',
    });
    site.run(10);
    take(site, warm, 24);
    expect(site.state(id)).toBe('returned-unacknowledged');
  });

  test('failed readings that were never stored count too', () => {
    const site = alarmSite();
    for (let n = 0; n < 3; n += 1) {
      site.run(10);
      site.book.refused('a1.temperature');
    }
    expect(shown(site)).toEqual(['unusable/a1.temperature unacknowledged']);
  });

  test('the alarm outlives a restart and still ends', () => {
    const site = alarmSite();
    for (let n = 0; n < 3; n += 1) {
      site.run(10);
      site.book.refused('a1.temperature');
    }
    site.restart();
    site.run(1);
    take(site, 'a1.temperature', 24);
    expect(site.state('unusable/a1.temperature')).toBe('returned-unacknowledged');
  });
});

describe('spikes', () => {
  test('are marked, raise no limit alarm, and ring when they are many', () => {
    const site = alarmSite();
    const qualities = [];
    for (let n = 0; n < 12; n += 1) {
      site.run(20);
      others(site);
      qualities.push(take(site, warm, n % 4 === 3 ? 60 : 24));
    }
    expect(qualities.filter((quality) => quality === 'suspect')).toHaveLength(3);
    expect(shown(site)).toEqual([`spikes/${warm} unacknowledged`]);
    for (let n = 0; n < 185; n += 1) {
      site.run(20);
      others(site);
      take(site, warm, 24);
    }
    expect(site.state(`spikes/${warm}`)).toBe('returned-unacknowledged');
  });

  test('a jump that lasts is believed and judged', () => {
    const site = alarmSite();
    for (let n = 0; n < 8; n += 1) {
      site.run(20);
      others(site);
      take(site, warm, n < 3 ? 24 : 33);
    }
    expect(site.state('high/warm-room.temperature')).toBe('unacknowledged');
  });
});

describe('a stuck sensor', () => {
  /** The room goes up and down by 3 K within the hour; `warm-air` stands still. */
  const swing = (site: Site, minutes: number) => {
    for (let n = 0; n < minutes * 2; n += 1) {
      site.run(30);
      const room = 23 + 1.5 * Math.sin(site.clock.now() / 600_000);
      take(site, 'a1.temperature', room);
      take(site, 'a2.temperature', room + 0.2);
      take(site, warm, 23);
    }
  };

  test('is condemned: its readings are suspect until it moves', () => {
    const site = alarmSite();
    swing(site, 40);
    expect(site.book.view(`stuck/${warm}`).title).toBe(
      'Sensor warm-air, temperature stands still: the same value for 40 min while its neighbours moved',
    );
    site.run(1);
    expect(take(site, warm, 23)).toBe('suspect');
    site.restart();
    site.run(1);
    expect(take(site, warm, 23)).toBe('suspect');
    site.run(1);
    take(site, warm, 23.5);
    site.run(1);
    expect(take(site, warm, 23.6)).toBe('good');
  });
});

describe('one cause, one alarm', () => {
  const battery = {
    id: 'a1',
    topic: 'a1',
    decoder: 'json' as const,
    at: 'A1',
    everyS: 30,
    channels: [{ quantity: 'battery' as const, unit: '%' as const, pointer: '/b' }],
  };

  test('an empty battery stands for a low one, which comes back when it outlives its cause', () => {
    const site = alarmSite(smallFarm({ sensors: [battery] }));
    const say = (value: number, seconds: number) => {
      for (let n = 0; n < seconds; n += 30) {
        site.run(30);
        take(site, 'a1.battery', value);
      }
    };
    say(15, 120);
    expect(shown(site)).toEqual(['battery/a1 unacknowledged']);
    say(5, 120);
    expect(shown(site)).toEqual(['battery-empty/a1 unacknowledged', 'battery/a1 suppressed']);
    say(16, 120);
    expect(shown(site)).toContain('battery/a1 unacknowledged');
    say(100, 120);
    site.book.act('battery/a1', { act: 'acknowledge' }, 'rowan');
    site.book.act('battery-empty/a1', { act: 'acknowledge' }, 'rowan');
    expect(shown(site)).toEqual([]);
  });

  test('both at once ring once', () => {
    const site = alarmSite(smallFarm({ sensors: [battery] }));
    for (let n = 0; n < 4; n += 1) {
      site.run(30);
      take(site, 'a1.battery', 5);
    }
    expect(site.outbox().map(({ alarm }) => alarm)).toEqual(['battery-empty/a1']);
  });

  test('a cause taken out of service stands for nothing', () => {
    const site = alarmSite(smallFarm({ sensors: [battery] }));
    for (let n = 0; n < 4; n += 1) {
      site.run(30);
      take(site, 'a1.battery', 5);
    }
    site.book.act('battery-empty/a1', { act: 'take-out-of-service', why: 'cable powered now' }, 'rowan');
    expect(site.state('battery/a1')).toBe('unacknowledged');
  });

  test('suppression is put right after a restart without its cause', () => {
    const site = alarmSite(smallFarm({ sensors: [battery] }));
    for (let n = 0; n < 4; n += 1) {
      site.run(30);
      take(site, 'a1.battery', 5);
    }
    expect(site.state('battery/a1')).toBe('suppressed');
    site.database.exec(`DELETE FROM alarm_state WHERE alarm = 'battery-empty/a1'`);
    site.database.exec(`DELETE FROM alarm_watch WHERE alarm = 'battery-empty/a1'`);
    site.restart();
    expect(site.state('battery/a1')).toBe('unacknowledged');
  });
});
