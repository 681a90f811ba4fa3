import { expect, onTestFinished, test } from 'vitest';
import { migrations } from '../../../collector/main.ts';
import { openDatabase } from '../../../collector/store/open-database.ts';
import { createReadingsLog } from '../../../collector/store/readings-log.ts';
import { systemClock } from '../../../collector/system-clock.ts';
import { buildFarm } from '../../../shared/farm/farm.ts';
import { builtInSpecies } from '../../../shared/growth/species.ts';
import { createManualClock } from '../../../shared/manual-clock.ts';
import type { Reading } from '../../../shared/readings.ts';
import { hourMs, minuteMs } from '../../../shared/time.ts';
import { coolingFailures, type RoomStretch } from '../../../simulator/studies/cooling-failures.ts';
import { until } from '../../tools/until.ts';
import { wholeSite } from '../../tools/whole-site.ts';

/** A cooler that fails long before the limit is reached, in a room whose past is on record for a week. */
function slowFailure(): RoomStretch {
  for (const made of coolingFailures({ count: 20, seed: 901, daysBefore: 8 }))
    if (made.reachesLimitAt !== null && made.reachesLimitAt - made.failsAt! > 80 * minuteMs) return made;
  throw new Error('no failure of this seed is slow');
}
const stretch = slowFailure();
const failsAt = stretch.failsAt!;
/** From here on readings come in as they do on a farm; before, they are on record. */
const opensAt = Math.floor((failsAt - 20 * hourMs) / minuteMs) * minuteMs;

const stored = ({ channel, t, tempC }: (typeof stretch.readings)[number]): Reading => ({
  ...{ channel, t, value: tempC, raw: tempC, quality: 'good', retained: false, receivedAt: t },
});

test('a room is learned from its record, and its cooler failing is foreseen and told by what it taught', async () => {
  const clock = createManualClock(opensAt);
  const database = openDatabase({ file: ':memory:', migrations, clock });
  onTestFinished(() => void database.close());
  createReadingsLog(database).append(stretch.readings.filter(({ t }) => t < opensAt).map(stored));
  const farm = buildFarm(stretch.farm, builtInSpecies);
  const { site, say, alarm } = await wholeSite(farm, {
    ...{ clock, database, tickMs: minuteMs, forecasts: { inThread: false } },
  });
  await until(systemClock, () => site.desk.unloads.room(stretch.room).learnedAt !== null);

  const warning = `predicted-high/${stretch.room}.temperature`;
  const live = stretch.readings.filter(({ t }) => t >= opensAt && t < stretch.reachesLimitAt!);
  let rangAt: number | null = null;
  for (const { channel, t, tempC } of live) {
    if (t > clock.now()) clock.advanceBy(t - clock.now());
    say(`study/${channel.slice(0, channel.indexOf('.'))}`, tempC.toFixed(2));
    if (rangAt === null && t >= failsAt && alarm(warning)?.ringing) rangAt = t;
  }
  expect(rangAt).not.toBeNull();
  expect(stretch.reachesLimitAt! - rangAt!).toBeGreaterThan(20 * minuteMs);
  const { alarm: shown, prediction, journal } = site.desk.alarm(warning);
  expect(journal.map(({ title }) => title).join('\n')).toMatch(
    /^Room(, shelf R\d)? will be too warm in about \d+ min \(\d+-(\d+|later); \d+\.\d °C now, \d+\.\d °C\/h; by what this room has taught of itself\)/m,
  );
  expect(shown.title).toMatch(/by what this room has taught of itself/);
  expect(prediction!.crosses.earliest).toBeLessThanOrEqual(prediction!.crosses.latest);
  // What the model misses by is told by days that it has followed: till then, what is usual speaks.
  const cooling = site.desk.alarm(`no-cooling/${stretch.room}`).alarm.title;
  expect(cooling).toMatch(/cooling seems to have no effect, \d\.\d K warmer than it usually gets/);
});
